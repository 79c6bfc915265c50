"""Results matched so that they differ in one thing: what stands before and after each change.

For every condition the results are grouped by all the others, by giving each such rest a number of its own. Within a
group the results of one level are taken together, so that each group gives one pair for a change, however often a tile
was made.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np

from tiles.columns.coded import Flags, Numbers
from tiles.columns.values import Lookups
from tiles.conditions.apart import SIMPLE, Condition, Level, coats_level, layer_level, level_of, lot_level
from tiles.conditions.facts import Conditions
from tiles.evidence.arrays import folded, numbered, pairs_within, spread_out, starts_of
from tiles.evidence.results import GONE, Floats, Layer, Results, layer_facts

# Changes that are looked at, in the order a tester asks; those whose levels rise go step by step.
RISING = (Condition.CONE, Condition.COATS, Condition.HOLD)
LOOKED_AT = (
    *(Condition.CONE, Condition.COATS, Condition.BODY, Condition.ATMOSPHERE, Condition.HOLD),
    *(Condition.OVER, Condition.UNDER, Condition.LOT, Condition.KILN, Condition.TEXTURE),
)
# Asked from nothing to a layer; one layer against another is asked for on the results themselves.
FROM_NOTHING = (Condition.OVER, Condition.UNDER)


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
        if self.condition in FROM_NOTHING:
            return f"{self.after.words} {self.condition.label}"
        return f"{self.condition.label} {self.before.words} → {self.after.words}"


class Entries(NamedTuple):
    """Conditions of results seen without one of them: the number of the rest, the level of that one, and of which."""

    rest: Numbers
    level: Numbers
    condition: Numbers


@dataclass(frozen=True)
class Pairing:
    """All pairs of one condition.

    members : places among the results' conditions, sorted so that those of one rest and level stand together
    starts : where each such group begins in `members`, and the end
    before, after : the groups of each pair; pairs of one change stand together
    changes, bounds : the changes in the order of their levels, and where the pairs of each begin, and the end
    """

    results: Results
    members: Numbers
    starts: Numbers
    before: Numbers
    after: Numbers
    changes: Sequence[Change]
    bounds: Numbers

    def _mean(self, total: Floats, count: Floats) -> Floats:
        """The mean of each group, from sums and counts over conditions; not a number where nothing was judged."""
        summed, counted = (np.add.reduceat(one[self.members], self.starts[:-1]) for one in (total, count))
        return summed / np.maximum(counted, 1) + np.where(counted > 0, 0, np.nan)

    @cached_property
    def differences(self) -> list[Floats]:
        """For each figure, after less before of each pair; not a number where a side has none.

        Rounded, so that equal is equal.
        """
        means = (self._mean(total, count) for total, count in self.results.summed)
        return [np.round(mean[self.after] - mean[self.before], 9) for mean in means]

    @cached_property
    def seen(self) -> dict[str, tuple[Flags, Flags]]:
        """For each sight of any, whether it was seen on a side of each pair, before and after."""
        grouped = {
            name: np.logical_or.reduceat(flags[self.members], self.starts[:-1])
            for name, flags in self.results.seen.items()
        }
        return {name: (flags[self.before], flags[self.after]) for name, flags in grouped.items()}

    def rows_of(self, groups: Numbers) -> Numbers:
        """The places of the results in these groups, one group after the other."""
        conditions = self.members[spread_out(self.starts[groups], np.diff(self.starts)[groups])]
        order, starts = self.results.by_condition
        return order[spread_out(starts[conditions], np.diff(starts)[conditions])]


def paired(results: Results, condition: Condition) -> Pairing | None:
    """Every pair of a condition; None where there is none."""
    entries, levels = _entries(results, condition)
    order = np.argsort(entries.rest * max(len(levels), 1) + entries.level, kind="stable")
    rest, level = entries.rest[order], entries.level[order]
    starts = starts_of(rest * max(len(levels), 1) + level)
    rest, level = rest[starts[:-1]], level[starts[:-1]]
    before, after = _steps(condition, rest, level)
    if not len(before):
        return None
    which = level[before] * len(levels) + level[after]
    order_of_pairs = np.argsort(which, kind="stable")
    bounds = starts_of(which[order_of_pairs])
    changes = [
        Change(condition, levels[code // len(levels)], levels[code % len(levels)])
        for code in which[order_of_pairs][bounds[:-1]].tolist()
    ]
    return Pairing(
        results,
        entries.condition[order],
        starts,
        before[order_of_pairs],
        after[order_of_pairs],
        changes,
        bounds,
    )


def _steps(condition: Condition, rest: Numbers, level: Numbers) -> tuple[Numbers, Numbers]:
    """Which groups make pairs, from their rests and levels, both rising."""
    if condition in RISING:
        before = np.flatnonzero(rest[1:] == rest[:-1])
        return before, before + 1
    if condition in FROM_NOTHING:
        nothing = np.flatnonzero(level == 0)
        ends = np.searchsorted(rest, rest[nothing], "right")
        others = ends - nothing - 1
        return np.repeat(nothing, others), spread_out(nothing + 1, others)
    return pairs_within(rest)


def _entries(results: Results, condition: Condition) -> tuple[Entries, list[Level]]:
    """The results' conditions without one of them, and its levels in their order."""
    if condition in SIMPLE:
        return _beside_entries(results, condition)
    return {
        Condition.COATS: _coats_entries,
        Condition.LOT: _lot_entries,
        Condition.OVER: _over_entries,
        Condition.UNDER: _under_entries,
    }[condition](results)


def _beside_entries(results: Results, condition: Condition) -> tuple[Entries, list[Level]]:
    place = list(SIMPLE).index(condition)
    values = dict.fromkeys(one[place] for one in results.besides)
    facts = {value: beside_facts(condition, value, results.names) for value in values}
    levels, level_of_value = _in_order({value: level_of(condition, facts[value]) for value in values})
    columns, sizes = _columns([(*one[:place], *one[place + 1 :]) for one in results.besides])
    rest = folded(columns, sizes)
    _, rest = numbered(rest)
    level = np.array([level_of_value[one[place]] for one in results.besides], np.int64)
    everything = np.arange(results.condition_count)
    many = max(len(results.stacks), 1)
    return Entries(rest[results.beside] * many + results.stack, level[results.beside], everything), levels


def _columns(rows: Sequence[Sequence[object]]) -> tuple[list[Numbers], list[int]]:
    """Rows of any values as columns of numbers, and how many values each has."""
    columns, sizes = [], []
    for column in zip(*rows, strict=True):
        known = {value: place for place, value in enumerate(dict.fromkeys(column))}
        columns.append(np.array([known[value] for value in column], np.int64))
        sizes.append(len(known))
    return columns or [np.zeros(0, np.int64)], sizes or [1]


def beside_facts(condition: Condition, value: object, names: Lookups) -> Conditions:
    """Conditions of which only one is filled in, by its key, with its name."""
    said: dict[Condition, str] = {
        Condition.CONE: "reached_order",
        Condition.BODY: "body_id",
        Condition.ATMOSPHERE: "atmosphere",
        Condition.HOLD: "hold_min",
        Condition.TEXTURE: "textured",
    }
    if condition is Condition.KILN:
        return replace(NO_CONDITIONS, kiln=names.kilns.get(value, GONE))  # type: ignore[call-overload]
    filled = replace(NO_CONDITIONS, **{said[condition]: value})  # type: ignore[arg-type]
    return replace(filled, body=names.bodies.get(filled.body_id, GONE))


NO_CONDITIONS = Conditions(
    zone="",
    textured=False,
    layers=(),
    body_id=0,
    body="",
    form="",
    firing="",
    target_order=None,
    reached_number=None,
    reached_order=None,
    reached_source="",
    atmosphere="",
    hold_min=0,
    kiln="",
    shelf=None,
    place="",
    fired_on=None,
    firing_count=0,
)


def _in_order(levels: dict[object, Level]) -> tuple[list[Level], dict[object, int]]:
    """The distinct levels in their order, and of each value which it has."""
    ordered = sorted(set(levels.values()))
    place = {level: number for number, level in enumerate(ordered)}
    return ordered, {value: place[level] for value, level in levels.items()}


def _expanded(results: Results, rest: Numbers, level: Numbers, *, where: Flags) -> Entries:
    """What is known of stacks, where it is, as entries of the conditions that have them."""
    chosen = np.flatnonzero(where[results.stack])
    stack = results.stack[chosen]
    many = max(len(results.besides), 1)
    return Entries(rest[stack] * many + results.beside[chosen], level[stack], chosen)


NO_ENTRIES = Entries(*(np.zeros(0, np.int64) for _ in range(3)))


def _joined(entries: Sequence[Entries]) -> Entries:
    return Entries(*(np.concatenate(column) for column in zip(*entries, strict=True)))


def _within_layers(
    results: Results,
    has: Callable[[Layer], bool],
    without: Callable[[Layer], Layer],
    level: Callable[[Layer], Level],
) -> tuple[Entries, list[Level]]:
    """Stacks without something about one of their layers, for each layer that has it."""
    layers, rows = results.layer_codes
    if not rows.shape[1]:
        return NO_ENTRIES, []
    levels, level_of_layer = _in_order({layer: level(layer) for layer in layers if has(layer)})
    has_it = np.array([False, *map(has, layers)], bool)
    its_level = np.array([0, *(level_of_layer.get(layer, 0) for layer in layers)], np.int64)
    # What a layer's number becomes without it: one behind those of whole layers.
    bare = {layer: place for place, layer in enumerate(dict.fromkeys(map(without, layers)))}
    turned = np.array([0, *(len(layers) + 1 + bare[without(layer)] for layer in layers)], np.int64)
    depths = range(rows.shape[1])
    columns = [
        np.concatenate([turned[rows[:, depth]] if depth == at else rows[:, depth] for at in depths])
        for depth in depths
    ]
    rest = numbered(folded(columns, [len(layers) + 1 + len(bare)] * len(columns)))[1].reshape(
        len(columns), -1
    )
    found = [_expanded(results, rest[at], its_level[rows[:, at]], where=has_it[rows[:, at]]) for at in depths]
    return _joined(found), levels


def _coats_entries(results: Results) -> tuple[Entries, list[Level]]:
    return _within_layers(
        results,
        lambda layer: layer.coats is not None,
        lambda layer: layer._replace(amount=""),
        lambda layer: coats_level(layer_facts(layer, results.names)),
    )


def _lot_entries(results: Results) -> tuple[Entries, list[Level]]:
    def level(layer: Layer) -> Level:
        facts = layer_facts(layer, results.names)
        found = lot_level(facts)
        return replace(found, words=f"{facts.glaze} {found.words}")

    return _within_layers(results, lambda layer: layer.lot != 0, lambda layer: layer._replace(lot=0), level)


def _over_entries(results: Results) -> tuple[Entries, list[Level]]:
    layers, rows = results.layer_codes
    depth = (rows > 0).sum(axis=1)
    top = np.maximum(depth - 1, 0)
    every = np.arange(len(rows))
    less = rows.copy()
    if rows.shape[1]:
        less[every, top] = 0
    outer = rows[every, top] if rows.shape[1] else depth
    return _laid_entries(results, layers, rows, less, outer, depth)


def _under_entries(results: Results) -> tuple[Entries, list[Level]]:
    layers, rows = results.layer_codes
    depth = (rows > 0).sum(axis=1)
    less = np.concatenate((rows[:, 1:], np.zeros((len(rows), min(rows.shape[1], 1)), np.int64)), axis=1)
    outer = rows[:, 0] if rows.shape[1] else depth
    return _laid_entries(results, layers, rows, less, outer, depth)


def _laid_entries(
    results: Results, layers: Sequence[Layer], rows: Numbers, less: Numbers, outer: Numbers, depth: Numbers
) -> tuple[Entries, list[Level]]:
    """Stacks as they are, with nothing laid on, and without their outer layer, with that laid on."""
    if not rows.shape[1]:
        return NO_ENTRIES, []
    levels, level_of_layer = _in_order(
        {None: layer_level(())}
        | {layer: layer_level([layer_facts(layer, results.names)]) for layer in layers}
    )
    both = np.concatenate((rows, less))
    columns = [both[:, place] for place in range(both.shape[1])]
    whole, rest = numbered(folded(columns, [len(layers) + 1] * len(columns)))[1].reshape(2, -1)
    nothing = np.zeros(len(rows), np.int64)
    its_level = np.array([0, *(level_of_layer[layer] for layer in layers)], np.int64)[outer]
    return _joined(
        [
            _expanded(results, whole, nothing, where=depth > 0),
            _expanded(results, rest, its_level, where=depth > 1),
        ]
    ), levels


def repeated(results: Results, of: Numbers | None = None) -> tuple[Numbers, Numbers]:
    """Results of the same conditions, one for each try, where there is more than one: their places and conditions.

    Those of the same conditions stand together.

    of : for each result what it is counted by instead of its conditions
    """
    which = results.condition if of is None else of
    order = np.argsort(which, kind="stable")
    many = int(results.tries.max(initial=-1)) + 1
    _, first = np.unique(which[order] * many + results.tries[order], return_index=True)
    once = order[np.sort(first)]
    counts = np.bincount(which[once], minlength=1)
    is_repeated = counts[which[once]] > 1
    return once[is_repeated], which[once[is_repeated]]
