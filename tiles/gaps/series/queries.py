"""Series held against all fired results: each combination of a plan that was fired, wherever it was made."""

import json
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from django.core.paginator import Page, Paginator

from tiles.columns.coded import Numbers
from tiles.columns.held import Held
from tiles.columns.queries import all_held
from tiles.columns.values import HEAT, SERIES, STACK, WARE
from tiles.evidence.results import Layer, layers_of
from tiles.gaps.series.asked import Against, Table, against
from tiles.models import Series
from tiles.planner.forms import TITLES
from tiles.planner.queries import (
    Laid,
    OnHand,
    Reading,
    glaze_keys,
    levels_seen,
    levels_seen_in,
    on_hand,
    read_combination,
    waiting,
)
from tiles.plans.covering import ImpossiblePlan
from tiles.plans.sketch import NEEDED, Sketch, UnreadablePlan
from tiles.plans.tilelist import Combination

SERIES_A_PAGE = 20


@dataclass(frozen=True, slots=True)
class StandingSeries:
    """A series against what was fired; the reason where its plan cannot be held against it."""

    series: Series
    sketch: Sketch
    found: Against | None
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class SeriesListed:
    """A page of series."""

    page: Page[Series]
    standing: list[StandingSeries]


def series_listed(number: str) -> SeriesListed:
    """Series with what each lacks, in a number of queries that does not grow."""
    page = Paginator(Series.objects.all(), SERIES_A_PAGE).get_page(number)
    shown = list(page.object_list)
    if not shown:
        return SeriesListed(page, [])
    held, hand = all_held(), on_hand()
    seen = levels_seen_in([one.pk for one in shown])
    return SeriesListed(page, _standing([(one, _sketch_of(one, seen[one.pk])) for one in shown], held, hand))


def _sketch_of(series: Series, seen: Sketch) -> Sketch | str:
    """Its plan, without one the levels its tiles show, or why it cannot be read."""
    plan = {name: value for name, value in series.plan.items() if name != "made"}
    try:
        return Sketch.from_json(plan) if plan else seen
    except UnreadablePlan as trouble:
        return str(trouble)


def _standing(asked: Sequence[tuple[Series, Sketch | str]], held: Held, hand: OnHand) -> list[StandingSeries]:
    """Series with their plans, or why those cannot be read, against what was fired.

    What was worked out is kept while no result is written; it is asked for by all that it leans on.
    """
    whole = [
        (series, sketch)
        for series, sketch in asked
        if isinstance(sketch, Sketch) and not _trouble_of(series, sketch)
    ]
    question = ("series against what was fired", *(_question(*one, hand) for one in whole))
    answers = held.answers.of(question, lambda: [_against(*one, held, hand) for one in whole])
    by_series = {series.pk: answer for (series, _), answer in zip(whole, answers, strict=True)}
    found = []
    for series, sketch in asked:
        answer = by_series.get(series.pk) or _trouble_of(series, sketch)
        found.append(
            StandingSeries(
                series,
                Sketch() if isinstance(sketch, str) else sketch,
                None if isinstance(answer, str) else answer,
                answer if isinstance(answer, str) else "",
            )
        )
    return found


def _trouble_of(series: Series, sketch: Sketch | str) -> str:
    """Why a plan cannot be held against what was fired, before anything is looked up; empty where it can."""
    if isinstance(sketch, str):
        return sketch
    if any(not sketch.levels.get(factor) for factor in NEEDED):
        return "Its plan is not finished." if series.plan else "Nothing was planned or glazed yet."
    return ""


def _question(series: Series, sketch: Sketch, hand: OnHand) -> Hashable:
    """All that the answer of `_against` leans on, but the results."""
    glazes = glaze_keys(sketch, hand)
    lots = tuple(hand.own_lots.get(glaze) for glaze in sketch.levels["glaze"])
    own = None if sketch.existing_counts else series.pk
    return own, json.dumps(sketch.as_json()), tuple(glazes.items()), lots


def _against(series: Series, sketch: Sketch, held: Held, hand: OnHand) -> Against | str:
    try:
        return against(sketch, hand.own_lots, fired_of(series, sketch, held, hand))
    except ImpossiblePlan as trouble:
        return str(trouble)


def fired_of(series: Series, sketch: Sketch, held: Held, hand: OnHand) -> list[Combination]:
    """The different combinations of a plan among all results held; just the series' own where others don't count.

    Stacks, heats and wares are read apart, each that occurs once; rows only tell which of them occur together.
    """
    keys = glaze_keys(sketch, hand)
    reading = Reading(sketch, {key: level for level, key in keys.items()})
    levels = {factor: frozenset(its) for factor, its in sketch.levels.items() if its}
    stacks = _read(levels, held.sizes[STACK], _stacks_read(reading, set(map(int, keys.values())), held))
    heats = _read(levels, held.sizes[HEAT], _heats_read(held))
    wares = _read(levels, held.sizes[WARE], _wares_read(reading, held))
    codes = held.rows.codes
    passed = stacks.places.take(codes[STACK]) >= 0
    if not sketch.existing_counts:
        passed &= held.facets["series"].answering(series.pk.__eq__).take(codes[SERIES])
    rows = np.flatnonzero(passed)
    stack, heat, ware = (
        part.places.take(codes[column].take(rows))
        for part, column in ((stacks, STACK), (heats, HEAT), (wares, WARE))
    )
    together = ((stack * len(heats.found) + heat) * len(wares.found) + ware)[(heat >= 0) & (ware >= 0)]
    found: list[Combination] = []
    for number in np.unique(together).tolist():
        rest, ware_at = divmod(number, len(wares.found))
        stack_at, heat_at = divmod(rest, len(heats.found))
        found.append({**stacks.found[stack_at], **heats.found[heat_at], **wares.found[ware_at]})
    return found


@dataclass(frozen=True, slots=True)
class _Part:
    """What a column gives to the combinations of a plan.

    places : for each of its codes the place of what it gives in `found`; -1 where that is not of the plan
    """

    places: Numbers
    found: list[Combination]


def _read(levels: Mapping[str, frozenset[str]], size: int, read: Iterable[tuple[int, Combination]]) -> _Part:
    """Of what codes were read as, the factors of the plan; those with other levels left out."""
    places = np.full(size, -1, np.int64)
    known: dict[tuple[tuple[str, str], ...], int] = {}
    for code, one in read:
        asked = tuple((factor, level) for factor, level in one.items() if factor in levels)
        if all(level in levels[factor] for factor, level in asked):
            places[code] = known.setdefault(asked, len(known))
    return _Part(places, [dict(asked) for asked in known])


def _stacks_read(reading: Reading, glazes: set[int], held: Held) -> Iterator[tuple[int, Combination]]:
    stacks = held.books[STACK].values
    for code in np.flatnonzero(held.facets["glaze"].answering(glazes.__contains__)).tolist():
        if stacks[code].layers <= reading.most_layers:
            one = reading.combination([_laid(layer) for layer in layers_of(stacks[code])], {})
            if one is not None:
                yield code, one


def _heats_read(held: Held) -> Iterator[tuple[int, Combination]]:
    for code, heat in enumerate(held.books[HEAT].values[: held.sizes[HEAT]]):
        facts = read_combination(0, 0, heat.reached, heat.atmosphere, heat.hold_min)
        yield code, {factor: facts[factor] for factor in ("cone", "atmosphere", "hold")}


def _wares_read(reading: Reading, held: Held) -> Iterator[tuple[int, Combination]]:
    for code, ware in enumerate(held.books[WARE].values[: held.sizes[WARE]]):
        yield code, {"body": str(ware.body), "form": reading.form or str(ware.form)}


def _laid(layer: Layer) -> Laid:
    """A layer as a plan reads it."""
    amount = layer.coats
    if amount is None:
        seconds = float(layer.amount[:-1])
        amount = int(seconds) if seconds.is_integer() else None
    return Laid(str(layer.glaze), amount, layer.method, str(layer.lot or ""))


@dataclass(frozen=True, slots=True)
class ShownTable:
    """Two conditions crossed, in words."""

    title: str
    columns: list[str]
    rows: list[tuple[str, tuple[int | None, ...]]]


@dataclass(frozen=True, slots=True)
class SeriesPage:
    """One series: what it asks, what was fired, what waits, and each two of its conditions crossed."""

    standing: StandingSeries
    tables: list[ShownTable]
    missing: list[str]
    waiting: int

    @property
    def is_lacking(self) -> bool:
        """Whether there is anything left to plan, as far as one can tell."""
        found = self.standing.found
        return found is None or found.asked is None or found.fired < found.asked


def series_page(series: Series) -> SeriesPage:
    hand = on_hand()
    (standing,) = _standing([(series, _sketch_of(series, levels_seen(series)))], all_held(), hand)
    found = standing.found
    if found is None:
        return SeriesPage(standing, [], [], 0)
    return SeriesPage(
        standing,
        [_shown_table(table, hand) for table in found.tables],
        [_words(one, standing.sketch, hand) for one in found.missing],
        len(waiting(standing.sketch, hand, series)),
    )


def _shown_table(table: Table, hand: OnHand) -> ShownTable:
    return ShownTable(
        f"{TITLES[table.rows]} and {TITLES[table.columns].lower()}",
        [hand.words(table.columns, level) for level in table.column_levels],
        [
            (hand.words(table.rows, level), counts)
            for level, counts in zip(table.row_levels, table.counts, strict=True)
        ],
    )


def _words(one: Mapping[str, str], sketch: Sketch, hand: OnHand) -> str:
    """The levels in which combinations of the plan differ, or all where none does."""
    varied: Sequence[str] = [factor for factor, levels in sketch.levels.items() if len(levels) > 1]
    return ", ".join(hand.words(factor, one[factor]) for factor in varied or sketch.levels)
