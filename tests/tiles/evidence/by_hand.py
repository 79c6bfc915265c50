"""Results written down one by one, as columns, and matched the slow way: every result under every condition."""

from collections import defaultdict
from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import combinations, pairwise
from typing import Any

from tiles.columns.coded import Codebook
from tiles.columns.held import Held, Read, coded, nothing, with_lookups, with_rows
from tiles.columns.values import COLUMNS, Heat, Lookups, Run, Said, Seen, Stack, Ware
from tiles.conditions.apart import SIMPLE, Condition, coats_level, layer_level, level_of, lot_level
from tiles.conditions.facts import Conditions, LayerFacts
from tiles.conditions.stack import stack_key
from tiles.evidence.matching import FROM_NOTHING, LOOKED_AT, RISING, Change
from tiles.evidence.results import Results, results_in
from tiles.vocabulary import Surface


@dataclass(frozen=True, slots=True)
class Result:
    """One judged result, of a tile in a firing; surfaces as ranks from glossy, 0, to dry, 4."""

    key: int
    tile_id: int
    firing_id: int
    conditions: Conditions
    fired_on: date
    surface: int | None = None
    run_mm: float | None = None
    lightness: float | None = None
    ran_off: bool = False
    flaws: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Match:
    """All else equal: the results before a change and after it."""

    before: tuple[Result, ...]
    after: tuple[Result, ...]


def held_of(results: Sequence[Result]) -> Held:
    """The results as they would be held in memory."""
    kilns = {name: place + 1 for place, name in enumerate(sorted({one.conditions.kiln for one in results}))}
    layers = [layer for one in results for layer in one.conditions.layers]
    names = Lookups(
        glazes={layer.glaze_id: layer.glaze for layer in layers},
        bodies={one.conditions.body_id: one.conditions.body for one in results},
        kilns={place: name for name, place in kilns.items()},
        lots={layer.batch_id: layer.lot for layer in layers if layer.batch_id},
    )
    rows = [_row(one, kilns[one.conditions.kiln]) for one in results]
    read = Read(
        keys=[one.key for one in results],
        days=[one.fired_on.toordinal() for one in results],
        numbers=[one.tile_id for one in results],
        zones=[1 for _ in results],
        firings=[one.conditions.firing_count for one in results],
        lab=[[one.lightness for one in results], [None] * len(results), [None] * len(results)],
        values=[list(column) for column in zip(*rows, strict=True)] or [[] for _ in COLUMNS],
    )
    held = with_lookups(nothing(), names)
    books = tuple(Codebook(book.made) for book in held.books)
    held = replace(held, books=books, facets={})
    return with_rows(held, coded(read, books))


def _row(one: Result, kiln: int) -> tuple[Any, ...]:
    facts, layers = one.conditions, one.conditions.layers
    surface = "" if one.surface is None else Surface.values()[one.surface]
    heat = Heat(
        *(one.firing_id, kiln, None, facts.reached_order, None, facts.atmosphere, facts.hold_min),
        one.fired_on.toordinal(),
    )
    parts = tuple((layer.glaze_id, layer.batch_id or 0, 0) for layer in layers)
    top = layers[-1] if layers else None
    stack = Stack(
        top.glaze_id if top else None,
        len(layers),
        0,
        top.coats if top else None,
        "",
        stack_key(layers),
        parts,
    )
    return (
        heat,
        stack,
        Seen(surface, "", "", True, tuple(sorted(one.flaws))),
        Run(None if one.run_mm is None else round(one.run_mm * 10), one.ran_off),
        Ware(facts.body_id, 1, facts.textured, None, False, facts.firing_count),
        None,
        None,
        Said("", ""),
        None,
    )


def as_columns(results: Iterable[Result]) -> Results:
    return results_in(held_of(list(results)))


def simple_of(facts: Conditions) -> tuple[Any, ...]:
    """The conditions beside the stack."""
    return tuple(made_of(facts) for made_of, _ in SIMPLE.values())


def stack_of(layers: Iterable[LayerFacts]) -> tuple[Hashable, ...]:
    return tuple(
        (
            *(layer.glaze_id, layer.method, layer.coats, layer.dip_s and layer.dip_s.normalize()),
            layer.batch_id,
        )
        for layer in layers
    )


def _all_but(result: Result) -> Iterator[tuple[Condition, Hashable, Any]]:
    """For each condition: all the others, and the level of this one."""
    facts = result.conditions
    simple, stack = simple_of(facts), stack_of(facts.layers)
    for place, condition in enumerate(SIMPLE):
        if condition in LOOKED_AT:
            yield condition, (simple[:place], simple[place + 1 :], stack), level_of(condition, facts)
    for condition, rest, level in _in_the_stack(facts.layers):
        yield condition, (simple, rest), level


def _in_the_stack(layers: Sequence[LayerFacts]) -> Iterator[tuple[Condition, Hashable, Any]]:
    stack = stack_of(layers)
    for place, layer in enumerate(layers):
        if layer.coats is not None:
            rest = stack_of([replace(one, coats=-1) if at == place else one for at, one in enumerate(layers)])
            yield Condition.COATS, (place, rest), coats_level(layer)
        if layer.batch_id is not None:
            rest = stack_of(
                [replace(one, batch_id=-1) if at == place else one for at, one in enumerate(layers)]
            )
            level = lot_level(layer)
            yield Condition.LOT, (place, rest), replace(level, words=f"{layer.glaze} {level.words}")
    if layers:
        yield Condition.OVER, stack, layer_level(())
        yield Condition.UNDER, stack, layer_level(())
    if len(layers) > 1:
        yield Condition.OVER, stack[:-1], layer_level(layers[-1:])
        yield Condition.UNDER, stack[1:], layer_level(layers[:1])


def matched(results: Iterable[Result]) -> dict[Change, list[Match]]:
    """Every change that some results show, with its matches."""
    groups: dict[Any, dict[Any, list[Result]]] = defaultdict(lambda: defaultdict(list))
    for result in results:
        for condition, rest, level in _all_but(result):
            groups[condition, rest][level].append(result)
    found: dict[Change, list[Match]] = defaultdict(list)
    for (condition, _), levels in groups.items():
        ordered = sorted(levels)
        for before, after in pairwise(ordered) if condition in RISING else combinations(ordered, 2):
            if condition not in FROM_NOTHING or before.rank == 0 != after.rank:
                match = Match(tuple(levels[before]), tuple(levels[after]))
                found[Change(condition, before, after)].append(match)
    return dict(found)
