"""Counts of what was fired of each glaze alone, and standards held against them."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

import numpy as np
from django.db.models import Count, QuerySet
from django.urls import reverse

from firings.cones import series
from tiles.columns.held import Held
from tiles.columns.queries import standing
from tiles.columns.values import HEAT, STACK, WARE
from tiles.conditions.stack import coat_count_words
from tiles.gaps.grid import Grid, Place, Wanted, grid_of
from tiles.models import ClayBody, Glaze, StudioStandard
from tiles.search.queries import searchable

# Beyond any rank of a cone, any number of coats.
MOST_CONES, MOST_COATS = 64, 64
Counts = Mapping[int, Mapping[Place, int]]


def counts_alone() -> Counts:
    """For each glaze, by its key, how many results there are of it alone at each place; one query, or none."""
    held = standing()
    rows = _of_held(held) if held is not None else _of_database()
    counts: dict[int, dict[Place, int]] = {}
    for glaze, cone, body, coats, number in rows:
        counts.setdefault(glaze, {})[cone, body, coats] = number
    return counts


def _of_database() -> list[tuple[int, int, int, int, int]]:
    alone = (
        searchable().filter(layer_count=1, reached_order__isnull=False, coats_top__isnull=False).order_by()
    )
    counted = alone.values("top_glaze", "reached_order", "body", "coats_top").annotate(number=Count("pk"))
    found: Any = counted.values_list("top_glaze", "reached_order", "body", "coats_top", "number")
    return list(found)


def _of_held(held: Held) -> list[tuple[int, int, int, int, int]]:
    """The same over the columns: what each code stands for is looked up once, rows are only counted."""
    stacks, wares, heats = (held.books[column].values for column in (STACK, WARE, HEAT))
    of_stack = [
        one.top * MOST_COATS + one.coats_top if one.layers == 1 and one.top and one.coats_top else -1
        for one in stacks
    ]
    of_heat = [one.reached if one.reached is not None else -1 for one in heats]
    stack, body, cone = (
        np.array(figures, np.int64).take(held.rows.codes[column])
        for figures, column in ((of_stack, STACK), ([one.body for one in wares], WARE), (of_heat, HEAT))
    )
    known = (stack >= 0) & (cone >= 0)
    places = np.stack((stack[known], cone[known], body[known]))
    found, numbers = np.unique(places, axis=1, return_counts=True)
    return [
        (glazed // MOST_COATS, reached, on, glazed % MOST_COATS, number)
        for glazed, reached, on, number in zip(*found.tolist(), numbers.tolist(), strict=True)
    ]


@dataclass(frozen=True, slots=True)
class Standing:
    """A glaze against a standard."""

    glaze: Glaze
    grid: Grid


@dataclass(frozen=True, slots=True)
class Overview:
    """All glazes that a standard is for, those with most missing first."""

    standard: StudioStandard
    wanted: Wanted
    words: str
    glazes: list[Standing]

    @property
    def missing_count(self) -> int:
        return sum(len(one.grid.missing) for one in self.glazes)


def wanted_by(standard: StudioStandard) -> Wanted:
    """The levels of a standard; bodies in the bin are left out."""
    bodies = standard.levels.get("bodies", [])
    return _wanted(standard, set(ClayBody.objects.filter(pk__in=bodies).values_list("pk", flat=True)))


def _wanted(standard: StudioStandard, kept: Collection[int]) -> Wanted:
    levels = standard.levels
    bodies = tuple(body for body in levels.get("bodies", []) if body in kept)
    return Wanted(tuple(levels.get("cones", [])), bodies, tuple(levels.get("coats", [])))


def standards() -> list[tuple[StudioStandard, str]]:
    """All standards with what each asks; two queries."""
    found = list(StudioStandard.objects.all())
    bodies = {body for one in found for body in one.levels.get("bodies", [])}
    kept = set(ClayBody.objects.filter(pk__in=bodies).values_list("pk", flat=True))
    return [(one, standard_words(one, _wanted(one, kept))) for one in found]


def glazes_for(standard: StudioStandard) -> QuerySet[Glaze]:
    """The glazes a standard is for."""
    return Glaze.objects.filter(kind=standard.kind) if standard.kind else Glaze.objects.all()


def overview(standard: StudioStandard) -> Overview:
    """A standard against all it is for, in a number of queries that does not grow."""
    wanted, counts = wanted_by(standard), counts_alone()
    glazes = [
        Standing(glaze, grid_of(_fit(wanted, glaze), counts.get(glaze.pk, {})))
        for glaze in glazes_for(standard)
    ]
    glazes.sort(key=lambda one: (-len(one.grid.missing), one.glaze.name.casefold()))
    return Overview(standard, wanted, standard_words(standard, wanted), glazes)


def _fit(wanted: Wanted, glaze: Glaze) -> Wanted:
    """Cones outside the range a glaze is meant for are not asked of it."""
    low, high = glaze.cone_low_order, glaze.cone_high_order or glaze.cone_low_order
    if low is None or high is None:
        return wanted
    return Wanted(tuple(cone for cone in wanted.cones if low <= cone <= high), wanted.bodies, wanted.coats)


def standard_words(standard: StudioStandard, wanted: Wanted) -> str:
    """Every glaze at cones 5, 6, 10, on 3 clay bodies, in 1, 2, 3 coats."""
    kind = f"every {standard.get_kind_display()}" if standard.kind else "every glaze of any kind"
    cones = ", ".join(map(series.label_of, wanted.cones))
    coats = ", ".join(map(str, wanted.coats))
    bodies = "1 clay body" if len(wanted.bodies) == 1 else f"{len(wanted.bodies)} clay bodies"
    return f"{kind.capitalize()} at cone {cones}, on {bodies}, in {coats} coats"


@dataclass(frozen=True, slots=True)
class ShownPlace:
    """A place of the matrix: how many results, where they are or where the place is planned."""

    n: int
    address: str


@dataclass(frozen=True, slots=True)
class GlazePage:
    """One glaze against a standard: a row for each body and number of coats, a column for each cone."""

    glaze: Glaze
    standard: StudioStandard
    words: str
    grid: Grid
    cones: list[str]
    rows: list[tuple[str, list[ShownPlace]]]
    missing_pairs: list[str]
    plan: str


def glaze_page(standard: StudioStandard, glaze: Glaze) -> GlazePage:
    """A glaze's matrix."""
    wanted = _fit(wanted_by(standard), glaze)
    grid = grid_of(wanted, counts_alone().get(glaze.pk, {}))
    names = dict(ClayBody.objects.filter(pk__in=wanted.bodies).values_list("pk", "name"))
    rows = [
        (
            f"{names[body]}, {coat_count_words(coats)}",
            [_place(glaze, (cone, body, coats), grid.counts) for cone in wanted.cones],
        )
        for body in wanted.bodies
        for coats in wanted.coats
    ]
    return GlazePage(
        glaze,
        standard,
        standard_words(standard, wanted_by(standard)),
        grid,
        [f"cone {series.label_of(cone)}" for cone in wanted.cones],
        rows,
        [_pair_words(pair, wanted, names) for pair in grid.pairs.missing],
        plan_address(glaze, grid.missing) if grid.missing else "",
    )


def _place(glaze: Glaze, place: Place, counts: Mapping[Place, int]) -> ShownPlace:
    number = counts.get(place, 0)
    if not number:
        return ShownPlace(0, plan_address(glaze, [place]))
    cone, body, coats = place
    asked = {"top": glaze.pk, "stack": "alone", "body": body, "cone": series.label_of(cone), "coats": coats}
    return ShownPlace(number, f"{reverse('tiles:search:results')}?{urlencode(asked)}")


def _pair_words(pair: Sequence[tuple[int, int]], wanted: Wanted, names: Mapping[int, str]) -> str:
    """Cone 6 with Dune speckled."""
    words = [
        lambda level: f"cone {series.label_of(wanted.cones[level])}",
        lambda level: names[wanted.bodies[level]],
        lambda level: coat_count_words(wanted.coats[level]),
    ]
    return " with ".join(words[factor](level) for factor, level in pair)


def plan_address(glaze: Glaze, places: Sequence[Place]) -> str:
    """Where a series for these places is planned; what is fired already counts there."""
    pairs: dict[tuple[str, object], None] = {
        ("glaze", glaze.pk): None,
        ("under", "none"): None,
        ("over", "none"): None,
    }
    for place in places:
        for name, level in zip(("cone", "body", "coats"), place, strict=True):
            pairs[name, level] = None
    return f"{reverse('tiles:planner:new')}?{urlencode(list(pairs))}"
