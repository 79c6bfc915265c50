"""What a search finds, how many results each choice would give, and the words of the choices."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal

from django.core.paginator import Page, Paginator
from django.db.models import QuerySet
from django.http import QueryDict

from firings.keys import key_of
from firings.models import Kiln
from tiles import numbers
from tiles.colour.swatch import figures_of, hex_of, name_of
from tiles.columns.held import Held, kept_with
from tiles.columns.queries import standing
from tiles.models import ClayBody, Glaze, GlazeBatch, Outcome, Photo, Series
from tiles.search import address
from tiles.search.address import Pairs
from tiles.search.cards.queries import cards, photos_of
from tiles.search.cards.words import Card
from tiles.search.counting.queries import (
    Counts,
    facet_counts,
    figures_beside,
    keys_in_view,
    without_each_two,
)
from tiles.search.facets import Chip, Facets, chips, facet, foremost, ways_out
from tiles.search.filters import ResultsFilter
from tiles.search.groups import GROUPS, NAMES_IN_ADDRESS, Names, View, title_of
from tiles.search.nearest import Nearest, pairs_of_filters, ways_without_two, wider_ways
from tiles.search.planning import plan_of
from tiles.tray.parts.queries import PhotoPart

RESULTS_A_PAGE = 48
LengthUnit = Literal["mm", "in"]


@dataclass(frozen=True, slots=True)
class ListedResult:
    """A result with the photo that shows it best, and how far its colour is from the one asked for [ΔE00]."""

    outcome: Outcome
    photo: Photo | PhotoPart | None
    delta_e: float | None = None


@dataclass(frozen=True, slots=True)
class ColourAsked:
    """The colour that results are near, the result it is of where it is one's, and how many have no colour at all."""

    shown: str
    name: str
    figures: str
    of: str
    unmeasured: int


@dataclass(frozen=True, slots=True)
class Results:
    """All that a page of results shows."""

    pairs: Pairs
    total: int
    page: Page[int]
    rows: list[Card] | list[ListedResult]
    facets: Facets
    chips: list[Chip]
    nearest: Nearest
    problems: list[str]
    colour: ColourAsked | None

    @property
    def plan(self) -> str:
        """The tiles this search asks for, as the planner is asked for them; empty where it names no condition."""
        return address.write(plan_of(self.pairs))

    @property
    def query(self) -> str:
        """What is asked and in which order, as a query string, without how it is shown."""
        return address.write(address.without(self.pairs, "view"))

    @property
    def one_glaze(self) -> int | None:
        """The glaze of which results are asked, where it is one."""
        asked = address.values_of(self.pairs, "glaze")
        return (key_of(asked[0]) or None) if len(asked) == 1 else None

    def said(self, name: str) -> str:
        """What a parameter says, as it was typed."""
        return "".join(address.values_of(self.pairs, name)[:1])

    @property
    def typed_words(self) -> str:
        return self.said("q")

    @property
    def sort(self) -> str:
        return self.said("sort")

    @property
    def view(self) -> str:
        return self.said("view") or View.GRID.value

    @property
    def like(self) -> str:
        return self.said("like")

    @property
    def near(self) -> str:
        return self.said("near")

    @property
    def within(self) -> str:
        return self.said("within")

    @property
    def since(self) -> str:
        return self.said("since")

    @property
    def until(self) -> str:
        return self.said("until")


def searchable() -> QuerySet[Outcome]:
    """What a search looks among: outcomes that went through the fire, of tiles and firings in use."""
    return _searchable().all()


@cache
def _searchable() -> QuerySet[Outcome]:
    """Made once and copied, never asked itself."""
    return Outcome.objects.fired().filter(tile__binned_at__isnull=True, firing__binned_at__isnull=True)


def search(query: str | Pairs) -> ResultsFilter:
    """The search that a query string means, read and ready."""
    pairs = query if isinstance(query, tuple) else address.read(query, NAMES_IN_ADDRESS)
    return _search(pairs, standing())


def _search(pairs: Pairs, held: Held | None) -> ResultsFilter:
    asked = ResultsFilter(QueryDict(address.write(pairs)), searchable())
    asked.form.is_valid()
    asked.held = held
    return asked


def results(query: str | Pairs) -> QuerySet[Outcome]:
    """The outcomes a query string asks for, in its order."""
    return search(query).in_order()


def tile_numbers_of(query: str | Pairs) -> list[str]:
    """The numbers of the tiles whose outcomes a query string finds, each once, in its order."""
    found = dict.fromkeys(results(query).values_list("tile__number", flat=True))
    return [numbers.write(number) for number in found]


def names_of(values: Mapping[str, Iterable[str]], held: Held | None = None) -> Names:
    """The words of the records that choices stand for, the bin included.

    From the results held in memory, else by one query for each kind of record.
    """
    if held is not None:
        return _held_names(values, held)
    glazes = _names(Glaze, {*values["glaze"], *values["top"], *values["over"], *values["under"]}, "name")
    return {
        "glaze": glazes,
        "top": glazes,
        "over": glazes,
        "under": glazes,
        "body": _names(ClayBody, values["body"], "name"),
        "kiln": _names(Kiln, values["kiln"], "name"),
        "series": _names(Series, values["series"], "name"),
        "lot": _lots(values["lot"]),
        "like": _results(values.get("like", ())),
    }


def _held_names(values: Mapping[str, Iterable[str]], held: Held) -> Names:
    known = held.lookups
    kinds = {
        **dict.fromkeys(("glaze", "top", "over", "under"), known.glazes),
        **{"body": known.bodies, "kiln": known.kilns, "series": known.series, "lot": known.lots_of},
    }
    names = {
        kind: {str(key): named[key] for key in map(int, _keys(values[kind])) if key in named}
        for kind, named in kinds.items()
    }
    return {**names, "like": _results(values.get("like", ()))}


def _keys(values: Iterable[str]) -> list[str]:
    return [value for value in values if value.isascii() and value.isdigit() and len(value) <= 15]


def _names(model: type, values: Iterable[str], column: str) -> dict[str, str]:
    rows = model.everything.filter(pk__in=_keys(values))  # type: ignore[attr-defined]
    return {str(pk): name for pk, name in rows.values_list("pk", column)}


def _lots(values: Iterable[str]) -> dict[str, str]:
    rows = GlazeBatch.everything.filter(pk__in=_keys(values)).values_list("pk", "glaze__name", "lot")
    return {str(pk): f"{glaze} {lot}" for pk, glaze, lot in rows}


def _results(values: Iterable[str]) -> dict[str, str]:
    rows = Outcome.everything.filter(pk__in=_keys(values)).values_list("pk", "tile__number", "zone__name")
    return {str(pk): f"{numbers.write(number)}, {zone}" for pk, number, zone in rows} if values else {}


@dataclass(frozen=True, slots=True)
class Panel:
    """All that can be chosen beside results, with every count, and the words of the records meant."""

    counts: Counts
    names: Names
    facets: Facets


@dataclass(frozen=True, slots=True)
class InView:
    """The keys of a page, in order, how far off a colour asked for they are [ΔE00], and what could not be read."""

    keys: list[int]
    apart: dict[int, float]
    problems: dict[str, str]


def results_page(pairs: Pairs, page_number: str, unit: LengthUnit = "mm") -> Results:
    """One page of results with every choice's count, in a number of queries that does not grow."""
    held = standing()
    # Read when the first answer is not kept.
    asked = cache(lambda: _search(pairs, held))
    panel = kept_with(held, ("panel", address.without(pairs, "sort", "view")), lambda: _panel(asked(), pairs))
    total = panel.counts.total
    page = Paginator(range(total), RESULTS_A_PAGE).get_page(page_number)
    question = ("page", page.number, address.without(pairs, "view"))
    seen = kept_with(held, question, lambda: _in_view(asked(), RESULTS_A_PAGE * (page.number - 1)))
    as_list = View.LIST.value in address.values_of(pairs, "view")
    names = {**panel.names, "like": _results(address.values_of(pairs, "like"))}
    return Results(
        pairs=pairs,
        total=total,
        page=page,
        rows=_listed(seen) if as_list else cards(seen.keys, seen.apart, unit),
        facets=panel.facets,
        chips=chips(pairs, names),
        nearest=Nearest() if total else nearest_to(asked(), pairs, panel.counts, names),
        problems=[f"{title_of(name)}: {problem}" for name, problem in seen.problems.items()],
        colour=_colour_asked(asked(), names) if {name for name, _ in pairs} & {"like", "near"} else None,
    )


def _in_view(asked: ResultsFilter, start: int) -> InView:
    keys = keys_in_view(asked, start, start + RESULTS_A_PAGE)
    apart = asked.apart or {}
    return InView(keys, {key: apart[key] for key in keys if key in apart}, _problems(asked))


def _listed(seen: InView) -> list[ListedResult]:
    found = Outcome.objects.for_display().select_related("zone__form_zone").in_bulk(seen.keys)
    outcomes = [found[key] for key in seen.keys if key in found]
    photos = photos_of(outcomes)
    return [ListedResult(outcome, photos.get(outcome.pk), seen.apart.get(outcome.pk)) for outcome in outcomes]


def _panel(asked: ResultsFilter, pairs: Pairs) -> Panel:
    counts, problems = facet_counts(asked), _problems(asked)
    chosen = {group.name: address.values_of(pairs, group.name) for group in GROUPS}
    sent = {group.name: foremost(group, counts.by_group[group.name], chosen[group.name]) for group in GROUPS}
    names = names_of({name: {*chosen[name], *counted} for name, counted in sent.items()}, asked.held)
    groups = tuple(
        facet(
            group,
            sent[group.name],
            chosen[group.name],
            names,
            problems.get(group.name, ""),
            len(counts.by_group[group.name]) - len(sent[group.name]),
            "".join(address.values_of(pairs, group.setting.name)[:1]) if group.setting else "",
        )
        for group in GROUPS
    )
    return Panel(counts, names, Facets(groups))


def _problems(asked: ResultsFilter) -> dict[str, str]:
    """What could not be read of each parameter."""
    return {name: " ".join(errors) for name, errors in asked.form.errors.items()}


def nearest_to(asked: ResultsFilter, pairs: Pairs, counts: Counts, names: Names) -> Nearest:
    """The searches nearest to one that finds nothing; two filters are left out only where no one is enough."""
    without_one = ways_out(pairs, counts.left_out, names)
    twos = [] if without_one else pairs_of_filters(pairs)
    return Nearest(
        without_one,
        wider_ways(pairs, asked.form.cleaned_data, figures_beside(asked), names),
        ways_without_two(pairs, without_each_two(asked, twos), names) if twos else (),
    )


def _colour_asked(asked: ResultsFilter, names: Names) -> ColourAsked | None:
    lab = asked.said("like") or asked.said("near")
    if lab is None:
        return None
    unmeasured = asked.leaving_out("like", "near").filter(lab_l__isnull=True).count()
    words = next(iter(names["like"].values()), "") if asked.said("like") else ""
    return ColourAsked(hex_of(*lab), name_of(*lab), figures_of(*lab), words, unmeasured)
