"""Every count of a search page, and the results in view: from the columns in memory, or asked of the database."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Case, CharField, Count, F, Q, QuerySet, Value, When
from django.db.models.functions import Cast

from tiles.columns.counted import Filters, count, len_of, page
from tiles.columns.nearest import missed, without
from tiles.models import Outcome
from tiles.search.counting.answers import exact_facets, facets_of, figures_for, written
from tiles.search.filters import (
    ResultsFilter,
    flawed,
    measured_thickness,
    pictured,
    ran,
    spans_on,
    stacked_as,
)
from tiles.search.groups import (
    BY_NAME,
    GLOSS_SPANS,
    NO,
    NONE,
    OFF,
    RUN_SPANS,
    SEARCHED,
    THICKNESS_SPANS,
    YES,
    Sort,
    Stacking,
    run_span,
)
from tiles.search.nearest import WRITTEN
from tiles.vocabulary import FlawKind

TOTAL, LEFT_OUT = "total", "left out"
# A database takes only so many questions in one.
MOST_TWOS = 120


@dataclass(frozen=True, slots=True)
class Counts:
    """How many results there are: in all, with each choice of each group, and with each filter in force left out."""

    total: int
    by_group: Mapping[str, Mapping[str, int]]
    left_out: Mapping[str, int]


def _if(value: str, condition: Q) -> Case:
    return Case(When(condition, then=Value(value)))


def _yes_or_no(condition: Q) -> Case:
    return Case(When(condition, then=Value(YES)), default=Value(NO))


# The choices of a group that an outcome answers; each expression gives one, or nothing. Cones and coats: see _values.
VALUES: dict[str, tuple[Any, ...]] = {
    "glaze": (F("stacked__glaze"),),
    "top": (F("top_glaze"),),
    "over": (Case(When(stacked__position__gt=1, then=F("stacked__glaze"))),),
    "under": (Case(When(stacked__is_top=False, then=F("stacked__glaze"))),),
    "stack": tuple(_if(kind, stacked_as([kind])) for kind in Stacking.values()),
    "body": (F("body"),),
    "colour": (F("body__colour_family"),),
    "speckled": (_yes_or_no(Q(body__speckled=True)),),
    "atmosphere": (F("atmosphere"),),
    "hold": (F("hold_min"),),
    "method": (F("method"),),
    "surface": (F("surface"),),
    "opacity": (F("opacity"),),
    "run": (
        Case(*(When(ran([run_span(span)]), then=Value(span)) for span, _ in RUN_SPANS if span != OFF)),
        _if(OFF, ran([OFF])),
    ),
    "gloss": (
        Case(*(When(spans_on("gloss_gu", [run_span(span)]), then=Value(span)) for span, _ in GLOSS_SPANS)),
    ),
    "thickness": (
        Case(
            *(When(spans_on("thick_mm", [run_span(span)]), then=Value(span)) for span, _ in THICKNESS_SPANS)
        ),
    ),
    "flaw": (F("flaws__kind"), _if(NONE, flawed([NONE]))),
    "no_flaw": (F("flaws__kind"), Value(TOTAL)),
    "verdict": (F("verdict"),),
    "texture": (_yes_or_no(Q(textured=True)),),
    "judged": (_yes_or_no(Q(judged_at__isnull=False)),),
    "photo": (_yes_or_no(pictured()),),
    "kiln": (F("kiln"),),
    "shelf": (F("shelf__position"),),
    "firing": (F("firing__number"),),
    "series": (F("tile__series"),),
    "lot": (F("stacked__batch"),),
}


def facet_counts(asked: ResultsFilter) -> Counts:
    """Every count a search page shows. Each group is counted under all filters but its own."""
    held = asked.on_columns
    return counted_in_memory(asked, held) if held is not None else counted_by_database(asked)


# The column of each range that can be made wider; those of cones and coats depend on the search.
FIGURES: Mapping[str, tuple[str, Callable[[str], Any]]] = {
    "hold": ("hold_min", int),
    "shelf": ("shelf__position", int),
    "run": ("run_mm", Decimal),
    "gloss": ("gloss_gu", Decimal),
    "thickness": ("thick_mm", Decimal),
    "since": ("fired_on", date.fromisoformat),
    "until": ("fired_on", date.fromisoformat),
}


def figures_beside(asked: ResultsFilter) -> dict[str, dict[Any, int]]:
    """Of each range in force, which figures there are under all other filters, and how many results have each."""
    names = [name for name in WRITTEN if asked.said(name)]
    if not names:
        return {}
    if asked.on_columns is None:
        return _figures_by_database(asked, names)
    exact = exact_facets(asked.form.cleaned_data)
    found = count(asked.on_columns, {name: exact[name] for name in names}).by_facet
    return {
        name: {figure: number for figure, number in found[name].items() if figure != OFF} for name in names
    }


def _figures_by_database(asked: ResultsFilter, names: Sequence[str]) -> dict[str, dict[Any, int]]:
    columns = {name: column for name, (column, _) in FIGURES.items()}
    columns |= {name: asked.filters[name].column for name in ("cone", "coats")}
    parts = [_count(asked.leaving_out(name), name, F(columns[name])) for name in names]
    found: dict[str, dict[Any, int]] = {name: {} for name in names}
    for name, figure, number in parts[0].union(*parts[1:], all=True) if len(parts) > 1 else parts[0]:
        if figure is not None:
            found[name][_figure(name, figure)] = number
    return found


def _figure(name: str, text: str) -> Any:
    return FIGURES[name][1](text) if name in FIGURES else int(text)


def without_each_two(asked: ResultsFilter, twos: Sequence[tuple[str, str]]) -> dict[tuple[str, str], int]:
    """How many results each two filters in force would leave, left out together."""
    if asked.on_columns is not None:
        found = missed(asked.on_columns)
        return {two: without(found, *two) for two in twos}
    parts = [_count(asked.leaving_out(*two), " ".join(two), Value(TOTAL)) for two in twos[:MOST_TWOS]]
    if not parts:
        return {}
    rows = parts[0].union(*parts[1:], all=True) if len(parts) > 1 else parts[0]
    counted = {name: number for name, _, number in rows}
    return {two: counted.get(" ".join(two), 0) for two in twos}


def total_of(asked: ResultsFilter) -> int:
    """How many results a search finds, without any other count."""
    held = asked.on_columns
    return asked.found().count() if held is None else len_of(held)


def keys_in_view(asked: ResultsFilter, start: int, stop: int) -> list[int]:
    """The keys of the results from `start` to `stop`, in the order asked for."""
    held = asked.on_columns
    if held is None:
        return list(asked.in_order().values_list("pk", flat=True)[start:stop])
    sort = Sort(asked.said("sort") or Sort.NEWEST)
    figures = figures_for(held, sort, asked.apart)
    return page(held, start, stop, figures, by_number=sort is Sort.NUMBER)


def counted_in_memory(asked: ResultsFilter, held: Filters) -> Counts:
    """The counts from the columns in memory."""
    said = {name for name in SEARCHED if asked.said(name)}
    found = count(held, facets_of(asked.form.cleaned_data))
    by_group = {
        name: {written(value): number for value, number in found.by_facet[name].items()} for name in BY_NAME
    }
    by_group["no_flaw"] = _without_each({**by_group["no_flaw"], TOTAL: found.without["no_flaw"]})
    left_out = {name: found.left_out.get(name, found.total) for name in said}
    return Counts(found.total, by_group, {name: number for name, number in left_out.items() if number})


def counted_by_database(asked: ResultsFilter) -> Counts:
    """The counts in one query."""
    parts = [*_totals(asked), *(part for name in BY_NAME for part in _counted(asked, name))]
    counted: dict[str, dict[str, int]] = {name: {} for name in (*BY_NAME, TOTAL, LEFT_OUT)}
    for name, value, number in parts[0].union(*parts[1:], all=True):
        if value:
            counted[name][value] = number
    counted["no_flaw"] = _without_each(counted["no_flaw"])
    total, left_out = counted.pop(TOTAL), counted.pop(LEFT_OUT)
    return Counts(total.get(TOTAL, 0), counted, left_out)


def _without_each(seen: Mapping[str, int]) -> dict[str, int]:
    """How many are without each flaw, from how many there are and how many have it."""
    return {kind: seen.get(TOTAL, 0) - seen.get(kind, 0) for kind in FlawKind.values()}


def _totals(asked: ResultsFilter) -> Iterator[QuerySet]:
    yield _count(asked.found(), TOTAL, Value(TOTAL))
    for name in SEARCHED:
        if asked.said(name):
            yield _count(asked.leaving_out(name), LEFT_OUT, Value(name))


def _counted(asked: ResultsFilter, name: str) -> Iterator[QuerySet]:
    others = asked.leaving_out(name)
    for value in _values(asked, name):
        yield _count(others, name, value)


def _values(asked: ResultsFilter, name: str) -> tuple[Any, ...]:
    """For cones and coats the search says which column is meant."""
    return (F(asked.filters[name].column),) if name in ("cone", "coats") else VALUES[name]


def _count(outcomes: QuerySet[Outcome], name: str, value: Any) -> QuerySet:
    """For each value, how many outcomes have it; one that has it twice, as a glaze in its stack, counts once."""
    measured = outcomes.alias(thick_mm=measured_thickness())
    marked = measured.annotate(group=Value(name), value=Cast(value, CharField()))
    counted = marked.values("group", "value").annotate(number=Count("pk", distinct=True))
    return counted.values_list("group", "value", "number")
