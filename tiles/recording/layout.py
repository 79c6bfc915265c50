"""The coat grid as it stands on the page: rows top layer first, each cell with what was typed and what is wrong."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from firings.units import read_key
from tiles.recording.grid import Amount, TypedCell, TypedLayer, read_amount
from tiles.recording.section import LaidLayer
from tiles.vocabulary import Method


@dataclass(frozen=True, slots=True)
class GlazeFacts:
    """What the grid says of a glaze: its colour, and the coats its label asks for."""

    name: str
    swatch: str
    coats: str


@dataclass(frozen=True, slots=True)
class LotFacts:
    """What the grid says of a lot."""

    glaze_id: int
    lot: str
    gravity: str


@dataclass(frozen=True, slots=True)
class GridCell:
    """One cell on the page."""

    zone: str
    typed: TypedCell
    error: str
    mass_error: str
    thickness_error: str

    @property
    def errors(self) -> list[str]:
        return [words for words in (self.error, self.mass_error, self.thickness_error) if words]


@dataclass(frozen=True, slots=True)
class GridRow:
    """One layer on the page. `waiting` are cells of zones that the chosen form has not."""

    typed: TypedLayer
    place: int
    cells: tuple[GridCell, ...]
    waiting: tuple[GridCell, ...]
    lots: tuple[tuple[str, str], ...]
    stray_lot: str
    glaze: str
    swatch: str
    coats: str
    gravity: str
    errors: Mapping[str, str]

    @property
    def key(self) -> str:
        return self.typed.key

    @property
    def glaze_id(self) -> int:
        return read_key(self.typed.glaze)

    @property
    def after(self) -> int:
        return read_key(self.typed.after)

    @property
    def words(self) -> str:
        """The layer in a list of layers."""
        return self.glaze or f"layer {self.place}"

    @property
    def is_dipped(self) -> bool:
        return self.typed.method == Method.DIP

    @property
    def messages(self) -> list[str]:
        """What is wrong in this row, cell by cell, for the line under it."""
        return [
            *self.errors.values(),
            *(f"{cell.zone}: {words}" for cell in self.cells for words in cell.errors),
        ]


@dataclass(frozen=True, slots=True)
class Catalogue:
    """All that may be chosen, by id."""

    glazes: Mapping[int, GlazeFacts]
    lots: Mapping[int, LotFacts]


PARTS = ("layer", "glaze", "batch", "method", "tool", "gravity", "after")


def coats_words(low: int | None, high: int | None) -> str:
    """The coats a label asks for.

    >>> coats_words(2, 3), coats_words(None, 1), coats_words(None, None)
    ('2 to 3 coats', '1 coat', '')
    """
    ends = [str(end) for end in dict.fromkeys((low, high)) if end]
    return f"{' to '.join(ends)} coat{'' if ends == ['1'] else 's'}" if ends else ""


def _cell(key: str, zone: str, typed: TypedLayer, errors: Mapping[str, str]) -> GridCell:
    found = [errors.get(f"{part}-{key}-{zone}", "") for part in ("coats", "mass", "thick")]
    return GridCell(zone, typed.cells.get(zone, TypedCell()), *found)


def _row(
    typed: TypedLayer, place: int, zones: Sequence[str], catalogue: Catalogue, errors: Mapping[str, str]
) -> GridRow:
    glaze_id = read_key(typed.glaze)
    glaze = catalogue.glazes.get(glaze_id)
    lots = {str(pk): lot for pk, lot in catalogue.lots.items() if lot.glaze_id == glaze_id}
    chosen = catalogue.lots.get(read_key(typed.batch))
    elsewhere = [zone for zone, cell in typed.cells.items() if zone not in zones and not cell.is_blank]
    return GridRow(
        typed,
        place,
        tuple(_cell(typed.key, zone, typed, errors) for zone in zones),
        tuple(_cell(typed.key, zone, typed, {}) for zone in elsewhere),
        tuple((pk, lot.lot) for pk, lot in lots.items()),
        chosen.lot if chosen and typed.batch not in lots else "",
        glaze.name if glaze else "",
        glaze.swatch if glaze else "",
        glaze.coats if glaze else "",
        chosen.gravity if chosen else "",
        {part: errors[f"{part}-{typed.key}"] for part in PARTS if f"{part}-{typed.key}" in errors},
    )


def grid_rows(
    layers: Sequence[TypedLayer], zones: Sequence[str], catalogue: Catalogue, errors: Mapping[str, str]
) -> list[GridRow]:
    """The rows of the page, top layer first; `layers` run bottom to top."""
    rows = [_row(typed, place, zones, catalogue, errors) for place, typed in enumerate(layers, start=1)]
    return rows[::-1]


def _amount(text: str, method: str) -> Amount | None:
    try:
        return read_amount(text, method)
    except ValueError:
        return None


def stacks_typed(
    layers: Sequence[TypedLayer], zones: Sequence[str], catalogue: Catalogue
) -> dict[str, list[LaidLayer]]:
    """What the grid shows so far, for drawing: cells that do not read yet are left out."""
    stacks: dict[str, list[LaidLayer]] = {zone: [] for zone in zones}
    for typed in layers:
        glaze = catalogue.glazes.get(read_key(typed.glaze))
        for zone in zones:
            amount = _amount(typed.cells.get(zone, TypedCell()).amount, typed.method)
            if amount and glaze:
                stacks[zone].append(LaidLayer(glaze.name, glaze.swatch, typed.method, amount))
    return stacks
