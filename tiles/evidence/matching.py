"""Results matched so that they differ in one thing: what stands before and after each change.

For every condition the results are grouped by all the others. Within a group the results of one level are taken
together, so that each group gives one pair for a change, however often a tile was made.
"""

from collections import defaultdict
from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import combinations, pairwise
from typing import Any

from tiles.conditions.apart import SIMPLE, Condition, Level, coats_level, layer_level, level_of, lot_level
from tiles.conditions.facts import Conditions, LayerFacts

# Changes that are looked at, in the order a tester asks; those whose levels rise go step by step.
RISING = (Condition.CONE, Condition.COATS, Condition.HOLD)
LOOKED_AT = (
    *(Condition.CONE, Condition.COATS, Condition.BODY, Condition.ATMOSPHERE, Condition.HOLD),
    *(Condition.OVER, Condition.UNDER, Condition.LOT, Condition.KILN, Condition.TEXTURE),
)
# Ranks on scales of words: glossy 0 to dry 4, transparent 0 to opaque 2.
Rank = int


@dataclass(frozen=True, slots=True)
class Result:
    """One judged result, of a tile in a firing, by their keys; what was not judged is None."""

    key: int
    tile_id: int
    firing_id: int
    conditions: Conditions
    fired_on: date
    surface: Rank | None = None
    opacity: Rank | None = None
    run_mm: float | None = None
    gloss_gu: float | None = None
    lightness: float | None = None
    ran_off: bool = False
    flaws: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Change:
    """From one level of a condition to another."""

    condition: Condition
    before: Level
    after: Level

    @property
    def words(self) -> str:
        """As it stands on the page: cone 5 → 6, coats ×1 → ×2, Flux L ×1 under it.

        >>> Change(Condition.CONE, Level(28, "5"), Level(30, "6")).words
        'cone 5 → 6'
        """
        if self.condition in (Condition.OVER, Condition.UNDER):
            return f"{self.after.words} {self.condition.label}"
        return f"{self.condition.label} {self.before.words} → {self.after.words}"


@dataclass(frozen=True, slots=True)
class Match:
    """All else equal: the results before a change and after it."""

    before: tuple[Result, ...]
    after: tuple[Result, ...]


def simple_of(facts: Conditions) -> tuple[Any, ...]:
    """The conditions beside the stack."""
    return tuple(made_of(facts) for made_of, _ in SIMPLE.values())


def stack_of(layers: Iterable[LayerFacts], *, lots: bool = True) -> tuple[Hashable, ...]:
    """A stack as something to group by, with its lots or without."""
    return tuple(
        (
            *(layer.glaze_id, layer.method, layer.coats, layer.dip_s and layer.dip_s.normalize()),
            layer.batch_id if lots else None,
        )
        for layer in layers
    )


def same_conditions(facts: Conditions) -> Hashable:
    """What results of the same conditions have in common."""
    return simple_of(facts), stack_of(facts.layers)


def _all_but(result: Result) -> Iterator[tuple[Condition, Hashable, Level]]:
    """For each condition: all the others, and the level of this one."""
    facts = result.conditions
    simple, stack = simple_of(facts), stack_of(facts.layers)
    for place, condition in enumerate(SIMPLE):
        if condition in LOOKED_AT:
            yield condition, (simple[:place], simple[place + 1 :], stack), level_of(condition, facts)
    for condition, rest, level in _in_the_stack(facts.layers):
        yield condition, (simple, rest), level


def _in_the_stack(layers: Sequence[LayerFacts]) -> Iterator[tuple[Condition, Hashable, Level]]:
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
    groups: dict[tuple[Condition, Hashable], dict[Level, list[Result]]] = defaultdict(
        lambda: defaultdict(list)
    )
    for result in results:
        for condition, rest, level in _all_but(result):
            groups[condition, rest][level].append(result)
    found: dict[Change, list[Match]] = defaultdict(list)
    for (condition, _), levels in groups.items():
        ordered = sorted(levels)
        steps = pairwise(ordered) if condition in RISING else combinations(ordered, 2)
        for before, after in steps:
            if _is_worth_asking(condition, before, after):
                match = Match(tuple(levels[before]), tuple(levels[after]))
                found[Change(condition, before, after)].append(match)
    return dict(found)


def _is_worth_asking(condition: Condition, before: Level, after: Level) -> bool:
    """Over and under: from nothing to a layer; one layer against another is asked for on the results themselves."""
    return condition not in (Condition.OVER, Condition.UNDER) or before.rank == 0 != after.rank


def repeated(results: Iterable[Result]) -> list[list[Result]]:
    """Results of the same conditions, one for each tile and firing, where there is more than one."""
    groups: dict[Hashable, dict[Hashable, Result]] = defaultdict(dict)
    for result in results:
        groups[same_conditions(result.conditions)].setdefault((result.tile_id, result.firing_id), result)
    return [list(group.values()) for group in groups.values() if len(group) > 1]
