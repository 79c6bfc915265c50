"""What the codes of each column stand for, and which choices of a search each value answers."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any, NamedTuple

from tiles.search.groups import (
    GLOSS_SPANS,
    NO,
    NONE,
    OFF,
    RUN_SPANS,
    THICKNESS_SPANS,
    YES,
    Stacking,
    run_span,
)


class Heat(NamedTuple):
    """What the firing gave; `hundredths` of the reached cone's number, `day` counted as dates are."""

    firing: int
    kiln: int
    target: int | None
    reached: int | None
    hundredths: int | None
    atmosphere: str
    hold_min: int
    day: int


class Stack(NamedTuple):
    """What lies on the zone; `parts` are glaze, batch (0 for none noted) and whether on top, bottom to top."""

    top: int | None
    layers: int
    coats: int
    coats_top: int | None
    method: str
    key: str
    parts: tuple[tuple[int, int, int], ...]


class Seen(NamedTuple):
    """What a person saw; flaws by kind."""

    surface: str
    opacity: str
    verdict: str
    judged: bool
    flaws: tuple[str, ...]


class Run(NamedTuple):
    """How far it ran, in tenths of a millimetre."""

    tenths: int | None
    off: bool


class Ware(NamedTuple):
    """What was glazed and where it stood."""

    body: int
    form: int
    textured: bool
    shelf: int | None
    pictured: bool
    firings: int


class Said(NamedTuple):
    """What people wrote."""

    remark: str
    note: str


# The coded columns, in the order in which they are kept.
HEAT, STACK, SEEN, RUN, WARE, SERIES, GLOSS, SAID, THICK = range(9)
COLUMNS = (HEAT, STACK, SEEN, RUN, WARE, SERIES, GLOSS, SAID, THICK)
NAMED: Mapping[int, Any] = {HEAT: Heat, STACK: Stack, SEEN: Seen, RUN: Run, WARE: Ware, SAID: Said}


@dataclass(frozen=True, slots=True)
class Lookups:
    """What records that many results share say of themselves, by their keys; `lots_of` with their glaze."""

    glazes: Mapping[int, str] = field(default_factory=dict)
    fluxes: frozenset[int] = frozenset()
    bodies: Mapping[int, str] = field(default_factory=dict)
    colours: Mapping[int, str] = field(default_factory=dict)
    speckled: frozenset[int] = frozenset()
    kilns: Mapping[int, str] = field(default_factory=dict)
    series: Mapping[int, str] = field(default_factory=dict)
    lots: Mapping[int, str] = field(default_factory=dict)
    lots_of: Mapping[int, str] = field(default_factory=dict)


Answers = Callable[[Any, Lookups], Iterable[Any]]


def _some(value: Any) -> tuple[Any, ...]:
    return () if value is None or value == "" else (value,)


def _yes_or_no(answer: bool) -> tuple[str]:
    return (YES if answer else NO,)


def _stacking(stack: Stack, lookups: Lookups) -> list[str]:
    kinds = {
        Stacking.ALONE.value: stack.layers == 1,
        Stacking.LAYERED.value: stack.layers > 1,
        Stacking.FLUX.value: any(part[0] in lookups.fluxes for part in stack.parts),
    }
    return [kind for kind, holds in kinds.items() if holds]


def run_mm(run: Run) -> list[Any]:
    """The run in mm, and that it ran off the foot."""
    found: list[Any] = [] if run.tenths is None else [Decimal(run.tenths) / 10]
    return [*found, OFF] if run.off else found


_SPANS = {value: run_span(value) for value, _ in RUN_SPANS if value != OFF}
_GLOSS_SPANS = {value: run_span(value) for value, _ in GLOSS_SPANS}
_THICKNESS_SPANS = {value: run_span(value) for value, _ in THICKNESS_SPANS}


def _run_spans(run: Run) -> list[str]:
    """The first span that holds it, and that it ran off."""
    figures = run_mm(run)
    held = [
        value for figure in figures if figure != OFF for value, span in _SPANS.items() if span.holds(figure)
    ]
    return [*held[:1], *([OFF] if OFF in figures else [])]


def _gloss_gu(tenths: int | None) -> list[Decimal]:
    return [] if tenths is None else [Decimal(tenths) / 10]


def _gloss_spans(tenths: int | None) -> list[str]:
    return [
        value for figure in _gloss_gu(tenths) for value, span in _GLOSS_SPANS.items() if span.holds(figure)
    ]


def _thick_mm(hundredths: int | None) -> list[Decimal]:
    return [] if hundredths is None else [Decimal(hundredths) / 100]


def _thickness_spans(hundredths: int | None) -> list[str]:
    return [
        value
        for figure in _thick_mm(hundredths)
        for value, span in _THICKNESS_SPANS.items()
        if span.holds(figure)
    ]


def _flaws(seen: Seen) -> tuple[str, ...]:
    return seen.flaws or ((NONE,) if seen.judged else ())


# For each facet its column and what a value of that column answers.
FACETS: Mapping[str, tuple[int, Answers]] = {
    "glaze": (STACK, lambda stack, _: [part[0] for part in stack.parts]),
    "top": (STACK, lambda stack, _: _some(stack.top)),
    "over": (STACK, lambda stack, _: [part[0] for part in stack.parts[1:]]),
    "under": (STACK, lambda stack, _: [part[0] for part in stack.parts if not part[2]]),
    "stack": (STACK, _stacking),
    "coats": (STACK, lambda stack, _: (stack.coats,)),
    "coats on top": (STACK, lambda stack, _: _some(stack.coats_top)),
    "method": (STACK, lambda stack, _: _some(stack.method)),
    "lot": (STACK, lambda stack, _: [part[1] for part in stack.parts if part[1]]),
    "stack key": (STACK, lambda stack, _: (stack.key,)),
    "body": (WARE, lambda ware, _: (ware.body,)),
    "colour": (WARE, lambda ware, lookups: _some(lookups.colours.get(ware.body))),
    "speckled": (WARE, lambda ware, lookups: _yes_or_no(ware.body in lookups.speckled)),
    "texture": (WARE, lambda ware, _: _yes_or_no(ware.textured)),
    "photo": (WARE, lambda ware, _: _yes_or_no(ware.pictured)),
    "form": (WARE, lambda ware, _: (ware.form,)),
    "firings": (WARE, lambda ware, _: (ware.firings,)),
    "shelf": (WARE, lambda ware, _: _some(ware.shelf)),
    "cone": (HEAT, lambda heat, _: _some(heat.reached)),
    "target cone": (HEAT, lambda heat, _: _some(heat.target)),
    "cone number": (HEAT, lambda heat, _: _some(heat.hundredths)),
    "atmosphere": (HEAT, lambda heat, _: (heat.atmosphere,)),
    "hold": (HEAT, lambda heat, _: (heat.hold_min,)),
    "kiln": (HEAT, lambda heat, _: (heat.kiln,)),
    "firing": (HEAT, lambda heat, _: (heat.firing,)),
    "day": (HEAT, lambda heat, _: (date.fromordinal(heat.day),)),
    "surface": (SEEN, lambda seen, _: _some(seen.surface)),
    "opacity": (SEEN, lambda seen, _: _some(seen.opacity)),
    "flaw": (SEEN, lambda seen, _: _flaws(seen)),
    "verdict": (SEEN, lambda seen, _: _some(seen.verdict)),
    "judged": (SEEN, lambda seen, _: _yes_or_no(seen.judged)),
    "run": (RUN, lambda run, _: _run_spans(run)),
    "run in mm": (RUN, lambda run, _: run_mm(run)),
    "run in tenths": (RUN, lambda run, _: _some(run.tenths)),
    "series": (SERIES, lambda series, _: _some(series)),
    "gloss": (GLOSS, lambda tenths, _: _gloss_spans(tenths)),
    "gloss in GU": (GLOSS, lambda tenths, _: _gloss_gu(tenths)),
    "thickness": (THICK, lambda hundredths, _: _thickness_spans(hundredths)),
    "thickness in mm": (THICK, lambda hundredths, _: _thick_mm(hundredths)),
}
# Facets that lean on Lookups, which must be made anew when those change.
LOOKING_UP = ("stack", "colour", "speckled")
