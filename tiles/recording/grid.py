"""The coat grid: what a person types for a tile's layers, and what it means.

Rows are layers, columns zones, a cell is a number of coats, or seconds where the layer was dipped. What was typed
is kept as text (`TypedLayer`) until it reads as a `LayerRecipe`, so that nothing typed is ever lost to a mistake.
"""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from itertools import pairwise
from typing import TypeVar

from firings.units import read_figure
from tiles.vocabulary import Method

# The bounds the database holds too (tiles/models/tile.py).
MOST_COATS = 20
LONGEST_DIP_S = 600
MOST_LAYERS = 20
LONGEST_TOOL = 40

KEY = re.compile(r"[a-z0-9]{1,20}")

Read = TypeVar("Read")


@dataclass(frozen=True, slots=True)
class Measure:
    """What may be measured of a layer: bounds, unit, and the decimals that are kept."""

    low: Decimal
    high: Decimal
    unit: str
    places: int


GRAVITY = Measure(Decimal(1), Decimal("2.5"), "", 3)
WET_MASS_G = Measure(Decimal(0), Decimal(5000), "g", 2)
THICKNESS_MM = Measure(Decimal(0), Decimal(50), "mm", 2)


@dataclass(frozen=True, slots=True)
class Amount:
    """How much of a layer lies on a zone: coats, or seconds where it was dipped. Exactly one is given."""

    coats: int | None = None
    dip_s: Decimal | None = None

    @property
    def typed(self) -> str:
        """As a person would type it into a cell.

        >>> Amount(coats=3).typed, Amount(dip_s=Decimal("2.50")).typed
        ('3', '2.5')
        """
        return str(self.coats) if self.dip_s is None else f"{self.dip_s.normalize():f}"

    @property
    def words(self) -> str:
        """As it is written on a drawing.

        >>> Amount(coats=3).words, Amount(dip_s=Decimal("2.50")).words
        ('×3', '2.5 s')
        """
        return f"×{self.coats}" if self.dip_s is None else f"{self.typed} s"


@dataclass(frozen=True, slots=True)
class Cover:
    """One cell that reads well."""

    amount: Amount
    wet_mass_g: Decimal | None = None
    thickness_mm: Decimal | None = None


@dataclass(frozen=True, slots=True)
class LayerRecipe:
    """One layer and where it lies, by zone name.

    `key` is the row it was typed in; for a layer that is already on the tile it is the layer's primary key.
    """

    glaze_id: int
    covers: Mapping[str, Cover]
    batch_id: int | None = None
    method: str = Method.BRUSH.value
    tool: str = ""
    specific_gravity: Decimal | None = None
    after_firings: int = 0
    key: str = ""

    @property
    def is_measured(self) -> bool:
        """Whether a mass or a thickness was taken of it on any zone."""
        return any(cover.wet_mass_g or cover.thickness_mm for cover in self.covers.values())


@dataclass(frozen=True, slots=True)
class Recipe:
    """One tile as it is to be made; layers bottom to top. Without `number` the next free one is given."""

    form_id: int
    body_id: int
    layers: tuple[LayerRecipe, ...] = ()
    body_lot: str = ""
    series_id: int | None = None
    bisque_firing_id: int | None = None
    planned_order: int | None = None
    planned_atmosphere: str = ""
    planned_hold_min: int | None = None
    glazed_on: date | None = None
    note: str = ""
    number: int | None = None


@dataclass(frozen=True, slots=True)
class TypedCell:
    """A cell as typed."""

    amount: str = ""
    mass: str = ""
    thickness: str = ""

    @property
    def is_blank(self) -> bool:
        return not (self.amount.strip() or self.mass.strip() or self.thickness.strip())


@dataclass(frozen=True, slots=True)
class TypedLayer:
    """A row as typed. `cells` may hold zones of another form: they wait in case the form is chosen again."""

    key: str
    glaze: str = ""
    batch: str = ""
    method: str = Method.BRUSH.value
    tool: str = ""
    gravity: str = ""
    after: str = ""
    cells: Mapping[str, TypedCell] = field(default_factory=dict)

    def is_blank(self, zones: Iterable[str]) -> bool:
        """Whether nothing was typed that says there is a layer."""
        return not self.glaze and all(self.cells.get(zone, TypedCell()).is_blank for zone in zones)


@dataclass(frozen=True, slots=True)
class OnHand:
    """What may be chosen: glaze names by id; each lot with its glaze's id, by id."""

    glazes: Mapping[int, str]
    lots: Mapping[int, tuple[int, str]]


@dataclass(frozen=True, slots=True)
class Reading:
    """What a grid says: its layers bottom to top, or what is wrong, by field name."""

    layers: tuple[LayerRecipe, ...]
    errors: Mapping[str, str]


def read_amount(text: str, method: str) -> Amount | None:
    """What a person typed in a cell of a layer put on by `method`; nothing typed is no glaze there.

    Raises
    ------
    ValueError : not an amount, or not one for this method; the words say what to type

    >>> read_amount("×3", "brush"), read_amount("2,5s", "dip")
    (Amount(coats=3, dip_s=None), Amount(coats=None, dip_s=Decimal('2.5')))
    """
    bare = text.strip().casefold()
    if not bare:
        return None
    return Amount(dip_s=_seconds(bare)) if method == Method.DIP else Amount(coats=_coats(bare, method))


def _seconds(bare: str) -> Decimal:
    if re.fullmatch(r"[×x*]\s*[0-9]+|[0-9]+\s*([×x*]|coats?)", bare):
        raise ValueError("This layer is dipped: write seconds, such as 3 s. Two dips are two layers.")
    found = re.fullmatch(r"([0-9]{1,3}(?:[.,][0-9])?)\s*(?:s|sec|secs|second|seconds)?\.?", bare)
    if not found:
        raise ValueError("Write the seconds of the dip, such as 3 or 2.5.")
    seconds = Decimal(found[1].replace(",", "."))
    if not 0 < seconds <= LONGEST_DIP_S:
        raise ValueError(f"A dip lasts from 0.1 to {LONGEST_DIP_S} seconds.")
    return seconds


def _coats(bare: str, method: str) -> int:
    if re.fullmatch(r"[0-9.,]+\s*s(ec(ond)?s?)?\.?", bare):
        raise ValueError(
            f"This layer is {Method.label_of(method)}: write coats, such as 3, or choose dipped."
        )
    found = re.fullmatch(r"[×x*]?\s*([0-9]{1,4})\s*(?:[×x*]|coats?)?", bare)
    if not found:
        raise ValueError(f"Write whole coats, 1 to {MOST_COATS}, or leave it empty.")
    coats = int(found[1])
    if coats == 0:
        raise ValueError("No coat here? Leave it empty.")
    if coats > MOST_COATS:
        raise ValueError(f"At most {MOST_COATS} coats of one layer.")
    return coats


def read_measure(text: str, measure: Measure) -> Decimal | None:
    """An optional figure with `,` or `.`, with or without its unit, within the bounds of what is measured.

    Raises
    ------
    ValueError : not a figure, out of bounds, or finer than is kept

    >>> read_measure("1,46", GRAVITY), read_measure("0.4 mm", THICKNESS_MM)
    (Decimal('1.46'), Decimal('0.4'))
    """
    bare = text.strip().casefold().removesuffix(measure.unit).strip()
    if not bare:
        return None
    figure = read_figure(bare)
    if not measure.low <= figure <= measure.high:
        raise ValueError(
            f"Between {measure.low} and {measure.high} {measure.unit}".strip() + ", please check."
        )
    if figure != round(figure, measure.places):
        raise ValueError(f"At most {measure.places} decimals.")
    return figure


def typed_layers(order: Sequence[str], fields: Mapping[str, str]) -> list[TypedLayer]:
    """The rows of a posted grid, bottom to top. `order` lists the row keys as they stand on the page, top first."""
    keys = [key for key in dict.fromkeys(order) if KEY.fullmatch(key)][:MOST_LAYERS]
    return [_typed_layer(key, fields) for key in reversed(keys)]


def _typed_layer(key: str, fields: Mapping[str, str]) -> TypedLayer:
    parts = ("glaze", "batch", "method", "tool", "gravity", "after")
    typed = {part: fields[f"{part}-{key}"] for part in parts if f"{part}-{key}" in fields}
    zones = {name.removeprefix(f"coats-{key}-"): None for name in fields if name.startswith(f"coats-{key}-")}
    return TypedLayer(key, **typed, cells={zone: _typed_cell(key, zone, fields) for zone in zones})


def _typed_cell(key: str, zone: str, fields: Mapping[str, str]) -> TypedCell:
    return TypedCell(*(fields.get(f"{part}-{key}-{zone}", "") for part in ("coats", "mass", "thick")))


def typed_from(layers: Iterable[LayerRecipe]) -> list[TypedLayer]:
    """The rows that would be typed to get these layers."""
    return [
        TypedLayer(
            layer.key,
            str(layer.glaze_id),
            str(layer.batch_id or ""),
            layer.method,
            layer.tool,
            _figure(layer.specific_gravity),
            str(layer.after_firings or ""),
            {zone: _typed_cover(cover) for zone, cover in layer.covers.items()},
        )
        for layer in layers
    ]


def _typed_cover(cover: Cover) -> TypedCell:
    return TypedCell(cover.amount.typed, _figure(cover.wet_mass_g), _figure(cover.thickness_mm))


def _figure(figure: Decimal | None) -> str:
    return "" if figure is None else f"{figure.normalize():f}"


def new_key(layers: Iterable[TypedLayer]) -> str:
    """A row key that no row has yet.

    >>> new_key([TypedLayer("n1"), TypedLayer("17")])
    'n2'
    """
    taken = {layer.key for layer in layers}
    return next(key for key in (f"n{count}" for count in range(1, len(taken) + 2)) if key not in taken)


def for_another_tile(layers: Iterable[TypedLayer]) -> list[TypedLayer]:
    """The same rows for another tile: what was weighed and measured stays with the first, and so does a refiring."""
    return [
        replace(
            layer,
            key=f"n{count}",
            after="",
            cells={zone: TypedCell(cell.amount) for zone, cell in layer.cells.items()},
        )
        for count, layer in enumerate(layers, 1)
    ]


def with_change(
    layers: Iterable[TypedLayer], zone: str, place: int, *, coats: str = "", batch: str = ""
) -> list[TypedLayer]:
    """The rows with another amount, or another lot, of the layer that lies at `place` on a zone, 1 being the bottom.

    >>> rows = [TypedLayer("n1", cells={"back": TypedCell("1")}), TypedLayer("n2", cells={"band 1": TypedCell("2")})]
    >>> with_change(rows, "band 1", 1, coats="3")[1].cells["band 1"].amount
    '3'
    """
    found, lying = [], 0
    for layer in layers:
        cell = layer.cells.get(zone, TypedCell())
        lying += not cell.is_blank
        if lying == place and not cell.is_blank:
            cells = {**layer.cells, zone: replace(cell, amount=coats)} if coats else layer.cells
            layer = replace(layer, cells=cells, batch=batch or layer.batch)
        found.append(layer)
    return found


def moved(layers: Sequence[TypedLayer], key: str, step: int) -> list[TypedLayer]:
    """The rows with one of them moved up (+1) or down (-1) as far as there is room."""
    rows = list(layers)
    start = next((index for index, row in enumerate(rows) if row.key == key), None)
    if start is not None:
        rows.insert(max(0, min(len(rows) - 1, start + step)), rows.pop(start))
    return rows


def _glaze(text: str, on_hand: OnHand) -> int:
    if not text:
        raise ValueError("Choose the glaze of this layer.")
    if (glaze_id := _as_id(text)) not in on_hand.glazes:
        raise ValueError("This glaze is not in the catalogue. Choose another.")
    return glaze_id


def _batch(text: str, glaze_id: int | None, on_hand: OnHand) -> int | None:
    if not text or glaze_id is None:
        return None
    if (batch_id := _as_id(text)) not in on_hand.lots:
        raise ValueError("This lot is not in the catalogue. Choose another, or none.")
    owner, lot = on_hand.lots[batch_id]
    if owner != glaze_id:
        owner_name = on_hand.glazes.get(owner, "another glaze")
        raise ValueError(f"Lot {lot} is of {owner_name}, not of {on_hand.glazes[glaze_id]}.")
    return batch_id


def _method(text: str) -> str:
    if text not in Method.values():
        raise ValueError("Choose how it went on.")
    return text


def _tool(text: str) -> str:
    if len(text.strip()) > LONGEST_TOOL:
        raise ValueError(f"At most {LONGEST_TOOL} letters.")
    return text.strip()


def _after(text: str, firings: int) -> int:
    if not 0 <= (after := _as_id(text or "0")) <= firings:
        raise ValueError("The tile has not been through so many firings.")
    return after


def _measured_amount(cell: TypedCell, method: str) -> Amount | None:
    amount = read_amount(cell.amount, method)
    if amount is None and not cell.is_blank:
        raise ValueError("Measured, but how many coats?")
    return amount


def _as_id(text: str) -> int:
    return int(text) if re.fullmatch(r"[0-9]{1,18}", text) else -1


class _Reader:
    """Reads rows into recipes, keeping what is wrong by the name of its field."""

    def __init__(self, zones: Sequence[str], on_hand: OnHand, firings: int) -> None:
        self.zones, self.on_hand, self.firings = zones, on_hand, firings
        self.errors: dict[str, str] = {}

    def _try(self, name: str, read: Callable[..., Read], *given: object) -> Read | None:
        try:
            return read(*given)
        except ValueError as wrong:
            self.errors[name] = str(wrong)
            return None

    def layer(self, typed: TypedLayer) -> LayerRecipe | None:
        key = typed.key
        method = self._try(f"method-{key}", _method, typed.method) or Method.BRUSH.value
        glaze_id = self._try(f"glaze-{key}", _glaze, typed.glaze, self.on_hand)
        recipe = LayerRecipe(
            glaze_id or 0,
            self._covers(typed, method),
            self._try(f"batch-{key}", _batch, typed.batch, glaze_id, self.on_hand),
            method,
            self._try(f"tool-{key}", _tool, typed.tool) or "",
            self._try(f"gravity-{key}", read_measure, typed.gravity, GRAVITY),
            self._try(f"after-{key}", _after, typed.after, self.firings) or 0,
            key,
        )
        return recipe if glaze_id else None

    def _covers(self, typed: TypedLayer, method: str) -> dict[str, Cover]:
        slips = len(self.errors)
        cells = {zone: typed.cells.get(zone, TypedCell()) for zone in self.zones}
        covers = {zone: self._cover(f"{typed.key}-{zone}", cell, method) for zone, cell in cells.items()}
        if not any(covers.values()) and len(self.errors) == slips:
            self.errors[f"layer-{typed.key}"] = "Say where it lies: write coats in at least one zone."
        return {zone: cover for zone, cover in covers.items() if cover}

    def _cover(self, place: str, cell: TypedCell, method: str) -> Cover | None:
        amount = self._try(f"coats-{place}", _measured_amount, cell, method)
        mass_g = self._try(f"mass-{place}", read_measure, cell.mass, WET_MASS_G)
        thickness_mm = self._try(f"thick-{place}", read_measure, cell.thickness, THICKNESS_MM)
        return Cover(amount, mass_g, thickness_mm) if amount else None


def read_grid(
    typed: Sequence[TypedLayer], zones: Sequence[str], on_hand: OnHand, *, firings: int = 0
) -> Reading:
    """The layers a grid describes, bottom to top, on the zones of a form. A row left blank is no layer.

    `firings` is how many glaze firings the tile has been through: a layer may have been put on after any of them.
    """
    reader = _Reader(zones, on_hand, firings)
    rows = [reader.layer(row) for row in typed if not row.is_blank(zones)]
    layers = tuple(layer for layer in rows if layer)
    for below, above in pairwise(layers):
        if above.after_firings < below.after_firings:
            reader.errors[f"after-{above.key}"] = (
                f"It lies on a layer put on after firing {below.after_firings}, so it came later too."
            )
    return Reading(layers, reader.errors)


def edited(layers: Sequence[TypedLayer], step: str, blank: TypedLayer) -> list[TypedLayer]:
    """The rows after one press of a button: ``add``, or ``remove``, ``up`` or ``down`` with a row's key.

    Anything else leaves them as they are.

    >>> [row.key for row in edited([TypedLayer("n1"), TypedLayer("n2")], "up n1", TypedLayer("n3"))]
    ['n2', 'n1']
    """
    verb, _, key = step.partition(" ")
    match verb:
        case "add" if len(layers) < MOST_LAYERS:
            return [*layers, blank]
        case "remove":
            return [layer for layer in layers if layer.key != key]
        case "up" | "down":
            return moved(layers, key, 1 if verb == "up" else -1)
        case _:
            return list(layers)
