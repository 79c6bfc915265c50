"""Series held against all fired results: each combination of a plan that was fired, wherever it was made."""

import json
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass

from django.core.paginator import Page, Paginator

from tiles.columns.held import Held
from tiles.columns.queries import all_held
from tiles.gaps.series.asked import Against, Table, against
from tiles.models import Series
from tiles.planner.fired import fired_in
from tiles.planner.forms import TITLES
from tiles.planner.queries import OnHand, glaze_keys, levels_seen, levels_seen_in, on_hand, waiting
from tiles.plans.covering import ImpossiblePlan
from tiles.plans.reading import Reading
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
    """The different combinations of a plan among all results held; just the series' own where others don't count."""
    keys = glaze_keys(sketch, hand)
    reading = Reading(sketch, {key: level for level, key in keys.items()})
    own = None if sketch.existing_counts else series.pk
    return [one.combination for one in fired_in(held, reading, set(map(int, keys.values())), own)]


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
