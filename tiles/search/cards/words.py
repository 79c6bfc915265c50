"""A result's card, all its words ready."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from functools import lru_cache
from typing import Literal, NamedTuple

from tiles import numbers
from tiles.colour.swatch import BEYOND, hex_of, is_in_gamut, name_of
from tiles.colour.wording import basis_words
from tiles.conditions.facts import Conditions, LayerFacts
from tiles.conditions.line import conditions_line
from tiles.conditions.stack import stack_words
from tiles.tilepage.judged import judged_words
from tiles.vocabulary import FlawKind, Severity, Verdict

# The cards of forty pages, about 4 kB each as they are written.
MOST_KEPT = 2048


class Row(NamedTuple):
    """A result as the database gives it; the names are those of an outcome where there is one."""

    pk: int
    tile_id: int
    zone_id: int
    placement_id: int
    number: int
    zone: str
    x_mm: Decimal
    y_mm: Decimal
    zone_width_mm: Decimal
    zone_height_mm: Decimal
    width_mm: int
    height_mm: int
    form: str
    textured: bool
    body_id: int
    body: str
    firing: int
    target_order: int | None
    reached_number: Decimal | None
    reached_order: int | None
    reached_source: str
    atmosphere: str
    hold_min: int
    kiln: str
    shelf: int | None
    place: str
    fired_on: date
    firing_count: int
    surface: str
    opacity: str
    run_mm: Decimal | None
    runs_off: bool
    pooling: str
    breaking: str
    verdict: str
    judged_at: datetime | None
    lab_l: float | None
    lab_a: float | None
    lab_b: float | None
    lab_basis: str


class Picture(NamedTuple):
    """A photo's addresses and its size in pixels."""

    small: str
    widths: str
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Beside:
    """What other tables hold of a result; `where` is the board or place its tile is to be found at."""

    layers: tuple[LayerFacts, ...]
    flaws: tuple[tuple[str, str], ...]
    picture: Picture | None
    delta_e: float | None
    where: str = ""


@dataclass(frozen=True, eq=False)
class Card:
    """Everything a card writes down. Each is equal to itself alone, so that what is written of it can be kept."""

    pk: int
    label: str
    zone: str
    place: Mapping[str, str]
    address: str
    stack: str
    seen: str
    judged: bool
    colour: Mapping[str, str] | None
    delta_e: str | None
    marks: Sequence[Mapping[str, str]]
    conditions: str
    where: str
    picture: Picture | None
    facts: Conditions


@lru_cache(maxsize=MOST_KEPT)
def card(row: Row, beside: Beside, address: str, unit: Literal["mm", "in"]) -> Card:
    """The card of what the database tells now; who turns pages back and forth sees the same ones."""
    label = numbers.write(row.number)
    facts = _conditions(row, beside.layers)
    return Card(
        pk=row.pk,
        label=label,
        zone=row.zone,
        place=_place(*row[6:12]),
        address=f"{address.format(label)}#outcome-{row.pk}",
        stack=stack_words(beside.layers),
        seen=judged_words(row, unit) if row.judged_at else "not judged yet",
        judged=row.judged_at is not None,
        colour=_colour(row.lab_l, row.lab_a, row.lab_b, row.lab_basis),
        delta_e=None if beside.delta_e is None else f"{beside.delta_e:.1f}",
        marks=_marks(beside.flaws, row.verdict),
        conditions=conditions_line(facts),
        where=beside.where,
        picture=beside.picture,
        facts=facts,
    )


@lru_cache(maxsize=512)
def _place(*box: Decimal | int) -> dict[str, str]:
    """Where on its tile a zone is, as the attributes of a drawing."""
    x, y, width, height, tile_width, tile_height = (f"{side:g}" for side in box)
    around = f"-1 -1 {box[4] + 2:g} {box[5] + 2:g}"
    return {
        **{"x": x, "y": y, "width": width, "height": height},
        **{"tile_width": tile_width, "tile_height": tile_height, "around": around},
    }


@lru_cache(maxsize=4096)
def _colour(
    lab_l: float | None, lab_a: float | None, lab_b: float | None, basis: str
) -> dict[str, str] | None:
    if lab_l is None or lab_a is None or lab_b is None:
        return None
    return {
        "shown": hex_of(lab_l, lab_a, lab_b),
        "name": name_of(lab_l, lab_a, lab_b),
        "basis": basis_words(basis) + ("" if is_in_gamut(lab_l, lab_a, lab_b) else f", {BEYOND}"),
    }


@lru_cache(maxsize=1024)
def _marks(flaws: tuple[tuple[str, str], ...], verdict: str) -> list[dict[str, str]]:
    """Flaws and verdict, each with the kind of chip it is shown as."""
    marks = [
        {
            "kind": f"chip--flaw chip--{severity}",
            "words": f"{FlawKind.label_of(kind)}, {Severity.label_of(severity)}",
        }
        for kind, severity in flaws
    ]
    said = [{"kind": "chip--state", "words": Verdict.label_of(verdict)}] if verdict else []
    return [*marks, *said]


def _conditions(row: Row, layers: tuple[LayerFacts, ...]) -> Conditions:
    return Conditions(
        zone=row.zone,
        textured=row.textured,
        layers=layers,
        body_id=row.body_id,
        body=row.body,
        form=row.form,
        firing=f"F-{row.firing:04d}",
        target_order=row.target_order,
        reached_number=row.reached_number,
        reached_order=row.reached_order,
        reached_source=row.reached_source,
        atmosphere=row.atmosphere,
        hold_min=row.hold_min,
        kiln=row.kiln,
        shelf=row.shelf,
        place=row.place,
        fired_on=row.fired_on,
        firing_count=row.firing_count,
    )
