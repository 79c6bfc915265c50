"""Judged results as columns: each set of conditions once, which results are of it, and what they were judged to be."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from tiles.columns.coded import Flags, Numbers
from tiles.columns.held import Held
from tiles.columns.values import GLOSS, HEAT, RUN, SEEN, STACK, WARE, Lookups
from tiles.columns.values import Stack as HeldStack
from tiles.conditions.facts import LayerFacts
from tiles.conditions.stack import is_dip, layers_in
from tiles.evidence.arrays import in_use, numbered, starts_of
from tiles.vocabulary import FlawKind, Opacity, Surface

Floats = NDArray[np.float64]
GONE = "one that is gone"
RAN_OFF = "ran off"
# What may be seen on a result or not: that it ran off, and each kind of flaw.
SIGHTS = (RAN_OFF, *FlawKind.values())
# What is judged in ordered words or measured, in the order of `Results.figures`. Gloss falls as surfaces go to dry.
FIGURES = ("gloss", "opacity", "run", "gloss at 60°", "lightness")


class Beside(NamedTuple):
    """The conditions beside the stack, by keys, in the order in which `conditions.apart` knows them."""

    cone: int | None
    body: int
    atmosphere: str
    hold_min: int
    kiln: int
    textured: bool
    form: int
    firings: int


class Layer(NamedTuple):
    """One layer by its keys: how it was put on, its coats or the seconds of its dip, its lot (0 for none noted)."""

    glaze: int
    method: str
    amount: str
    lot: int

    @property
    def coats(self) -> int | None:
        return None if is_dip(self.amount) else int(self.amount)


def layers_of(stack: HeldStack) -> tuple[Layer, ...]:
    """The layers of a stack as it is held, bottom to top."""
    layers = layers_in(stack.key)
    return tuple(Layer(*layer, part[1]) for layer, part in zip(layers, stack.parts, strict=True))


def layer_facts(layer: Layer, names: Lookups) -> LayerFacts:
    """A layer with its names."""
    return LayerFacts(
        glaze_id=layer.glaze,
        glaze=names.glazes.get(layer.glaze, GONE),
        batch_id=layer.lot or None,
        lot=names.lots.get(layer.lot, GONE) if layer.lot else "",
        method=layer.method,
        coats=layer.coats,
        dip_s=None if layer.coats is not None else Decimal(layer.amount[:-1]),
    )


@dataclass(frozen=True)
class Results:
    """Judged results, newest first, and the distinct conditions they were made under.

    keys, tiles, firings, days, forms : of each result
    condition : of each result, its place among the distinct conditions
    beside, stack : of each of the conditions, its places in `besides` and `stacks`
    figures : of each result, as FIGURES are; not a number where it was not judged
    sights : of each result, whether each of SIGHTS was seen
    """

    keys: Numbers
    tiles: Numbers
    firings: Numbers
    days: Numbers
    forms: Numbers
    condition: Numbers
    beside: Numbers
    stack: Numbers
    besides: Sequence[Beside]
    stacks: Sequence[tuple[Layer, ...]]
    figures: Sequence[Floats]
    sights: Sequence[Flags]
    names: Lookups

    def __len__(self) -> int:
        return len(self.keys)

    @property
    def condition_count(self) -> int:
        return len(self.beside)

    @cached_property
    def tries(self) -> Numbers:
        """For each result its try, numbered: one tile in one firing, whichever of its zones."""
        firings, firing = numbered(self.firings)
        return numbered(self.tiles * max(len(firings), 1) + firing)[1]

    @cached_property
    def by_condition(self) -> tuple[Numbers, Numbers]:
        """The results in the order of their conditions, newest first within each, and where each begins."""
        order = np.argsort(self.condition, kind="stable")
        return order, starts_of(self.condition[order])

    @cached_property
    def summed(self) -> list[tuple[Floats, Floats]]:
        """For each figure its sum over the results of each of the conditions, and of how many."""
        found = []
        for figure in self.figures:
            known = ~np.isnan(figure)
            where, many = self.condition[known], self.condition_count
            found.append(
                (
                    np.bincount(where, weights=figure[known], minlength=many).astype(np.float64),
                    np.bincount(where, minlength=many).astype(np.float64),
                )
            )
        return found

    @cached_property
    def seen(self) -> Mapping[str, Flags]:
        """For each of SIGHTS that was seen at all, whether it was on any result of each of the conditions."""
        found = {}
        for name, sight in zip(SIGHTS, self.sights, strict=True):
            if sight.any():
                flags = np.zeros(self.condition_count, bool)
                flags[self.condition[sight]] = True
                found[name] = flags
        return found

    @cached_property
    def layer_codes(self) -> tuple[list[Layer], Numbers]:
        """The distinct layers, and the stacks as rows of them, bottom to top: 1 for the first, 0 for no layer."""
        known: dict[Layer, int] = {}
        deepest = max(map(len, self.stacks), default=0)
        rows = [
            [known.setdefault(layer, len(known)) + 1 for layer in layers] + [0] * (deepest - len(layers))
            for layers in self.stacks
        ]
        return list(known), np.array(rows, np.int64).reshape(len(rows), deepest)


def results_in(held: Held, chosen: Flags | None = None) -> Results:
    """The judged ones of the results held, of the rows that are chosen or of all."""
    judged = np.fromiter((one.judged for one in held.books[SEEN].values), bool, len(held.books[SEEN].values))
    wanted = judged.take(held.rows.codes[SEEN]) if len(judged) else np.zeros(0, bool)
    rows = np.flatnonzero(wanted if chosen is None else wanted & chosen)

    def used(column: int) -> tuple[list[Any], Numbers]:
        book = held.books[column].values
        codes, places = in_use(held.rows.codes[column][rows], len(book))
        return [book[code] for code in codes.tolist()], places

    (heats, heat), (wares, ware), (stacks, stack) = used(HEAT), used(WARE), used(STACK)
    besides, beside = _besides(heats, heat, wares, ware)
    conditions, condition = numbered(beside * max(len(stacks), 1) + stack)
    figures, sights = _judged(used, held.rows.lab[0][rows])
    return Results(
        keys=held.rows.keys[rows],
        tiles=held.numbers[rows],
        firings=_numbers(one.firing for one in heats)[heat],
        days=_numbers(one.day for one in heats)[heat],
        forms=_numbers(one.form for one in wares)[ware],
        condition=condition,
        beside=conditions // max(len(stacks), 1),
        stack=conditions % max(len(stacks), 1),
        besides=besides,
        stacks=[layers_of(one) for one in stacks],
        figures=figures,
        sights=sights,
        names=held.lookups,
    )


def _numbers(values: Any) -> Numbers:
    return np.array([*values], np.int64)


def _besides(heats: Any, heat: Numbers, wares: Any, ware: Numbers) -> tuple[list[Beside], Numbers]:
    """The distinct conditions beside the stack, and which each result has."""
    of_heat: dict[tuple[Any, ...], int] = {}
    for one in heats:
        of_heat.setdefault((one.reached, one.atmosphere, one.hold_min, one.kiln), len(of_heat))
    of_ware: dict[tuple[Any, ...], int] = {}
    for one in wares:
        of_ware.setdefault((one.body, bool(one.textured), one.form, one.firings), len(of_ware))
    heat_of = _numbers(of_heat[one.reached, one.atmosphere, one.hold_min, one.kiln] for one in heats)
    ware_of = _numbers(of_ware[one.body, bool(one.textured), one.form, one.firings] for one in wares)
    many = max(len(of_ware), 1)
    codes, beside = in_use(heat_of[heat] * many + ware_of[ware], len(of_heat) * many)
    fired, made = list(of_heat), list(of_ware)
    found = []
    for code in codes.tolist():
        (cone, atmosphere, hold_min, kiln), (body, textured, form, firings) = (
            fired[code // many],
            made[code % many],
        )
        found.append(Beside(cone, body, atmosphere, hold_min, kiln, textured, form, firings))
    return found, beside


def _judged(used: Any, lightness: Floats) -> tuple[list[Floats], list[Flags]]:
    (seens, seen), (runs, run), (glosses, gloss) = used(SEEN), used(RUN), used(GLOSS)

    def ranks(order: Sequence[str], name: str, sign: int) -> Floats:
        values = [getattr(one, name) for one in seens]
        return _floats(sign * order.index(value) if value in order else None for value in values)[seen]

    flawed = [frozenset(one.flaws) for one in seens]
    figures = [
        ranks(Surface.values(), "surface", -1),
        ranks(Opacity.values(), "opacity", 1),
        _floats(None if one.tenths is None else one.tenths / 10 for one in runs)[run],
        _floats(None if tenths is None else tenths / 10 for tenths in glosses)[gloss],
        lightness,
    ]
    sights = [_flags(one.off for one in runs)[run]]
    sights += [_flags(kind in flaws for flaws in flawed)[seen] for kind in SIGHTS[1:]]
    return figures, sights


def _floats(values: Any) -> Floats:
    return np.array([np.nan if value is None else float(value) for value in values], np.float64)


def _flags(values: Any) -> Flags:
    return np.array([*values], bool)
