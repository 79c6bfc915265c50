"""Series held against all fired results: each combination of a plan that was fired, wherever it was made."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from django.core.paginator import Page, Paginator

from tiles.columns.coded import Flags
from tiles.columns.held import Held
from tiles.columns.queries import all_held
from tiles.columns.values import FACETS, HEAT, SERIES, STACK, WARE
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
    return SeriesListed(page, [_standing(one, _sketch_of(one, seen[one.pk]), held, hand) for one in shown])


def _sketch_of(series: Series, seen: Sketch) -> Sketch | str:
    """Its plan, without one the levels its tiles show, or why it cannot be read."""
    plan = {name: value for name, value in series.plan.items() if name != "made"}
    try:
        return Sketch.from_json(plan) if plan else seen
    except UnreadablePlan as trouble:
        return str(trouble)


def _standing(series: Series, sketch: Sketch | str, held: Held, hand: OnHand) -> StandingSeries:
    if isinstance(sketch, str):
        return StandingSeries(series, Sketch(), None, sketch)
    if any(not sketch.levels.get(factor) for factor in NEEDED):
        return StandingSeries(
            series,
            sketch,
            None,
            "Its plan is not finished." if series.plan else "Nothing was planned or glazed yet.",
        )
    try:
        return StandingSeries(
            series, sketch, against(sketch, hand.own_lots, fired_of(series, sketch, held, hand))
        )
    except ImpossiblePlan as trouble:
        return StandingSeries(series, sketch, None, str(trouble))


def fired_of(series: Series, sketch: Sketch, held: Held, hand: OnHand) -> list[Combination]:
    """The different combinations of a plan among all results held; just the series' own where others don't count."""
    keys = glaze_keys(sketch, hand)
    glazes, bodies = {int(key) for key in keys.values()}, {int(key) for key in sketch.levels.get("body", ())}
    rows = held.rows
    chosen = held.facets["glaze"].answering(glazes.__contains__).take(rows.codes[STACK])
    chosen &= held.facets["body"].answering(bodies.__contains__).take(rows.codes[WARE])
    if not sketch.existing_counts:
        chosen &= held.facets["series"].answering(series.pk.__eq__).take(rows.codes[SERIES])
    if sketch.levels.get("cone"):
        cones = set(map(int, sketch.levels["cone"]))
        chosen &= held.facets["cone"].answering(cones.__contains__).take(rows.codes[FACETS["cone"][0]])
    reading = Reading(sketch, {key: level for level, key in keys.items()})
    found: dict[tuple[tuple[str, str], ...], Combination] = {}
    for stack, heat, ware in _distinct(held, chosen):
        facts = read_combination(ware.body, ware.form, heat.reached, heat.atmosphere, heat.hold_min)
        one = reading.combination([_laid(layer) for layer in layers_of(stack)], facts)
        if one is not None:
            found.setdefault(tuple(sorted(one.items())), one)
    return list(found.values())


def _distinct(held: Held, chosen: Flags) -> list[tuple[Any, ...]]:
    """Each stack, heat and ware that occur together among the chosen rows, once."""
    columns = (STACK, HEAT, WARE)
    together = np.stack([held.rows.codes[column][chosen].astype(np.int64) for column in columns])
    codes = np.unique(together, axis=1).T.tolist() if together.size else []
    return [
        tuple(held.books[column].values[code] for column, code in zip(columns, one, strict=True))
        for one in codes
    ]


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
    standing = _standing(series, _sketch_of(series, levels_seen(series)), all_held(), hand)
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
