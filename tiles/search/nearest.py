"""Where a search finds nothing: which filters left out, or which range made wider, would find something."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import combinations
from typing import Any

from firings.cones import series
from tiles.search import address
from tiles.search.address import Pairs
from tiles.search.facets import WayOut, lift
from tiles.search.groups import DATES, OFF, REFINES, Names, chip_words
from tiles.search.spans import Span

# Of two filters left out together the pairs with the most results; more are no help to read.
PAIRS_SHOWN = 6


def _decimal(figure: Decimal) -> str:
    return f"{figure.normalize():f}"


# Ranges that can be made wider, and how their figures are written in an address.
WRITTEN: Mapping[str, Callable[[Any], str]] = {
    "cone": series.label_of,
    "coats": str,
    "hold": str,
    "shelf": str,
    "run": _decimal,
    "gloss": _decimal,
    "thickness": _decimal,
    **dict.fromkeys(DATES, date.isoformat),
}
Figures = Mapping[Any, int]


@dataclass(frozen=True, slots=True)
class Nearest:
    """The searches nearest to one that finds nothing, each with how many results it has."""

    without_one: Sequence[WayOut] = ()
    wider: Sequence[WayOut] = ()
    without_two: Sequence[WayOut] = ()

    def __bool__(self) -> bool:
        return bool(self.without_one or self.wider or self.without_two)


def spans_said(name: str, said: Any) -> list[Span[Any]]:
    """A range in force as spans; a date is the end of one."""
    if name in DATES:
        return [Span(said, None) if name == "since" else Span(None, said)]
    return [span if span != OFF else Span(None, None) for span in said]


def widened(spans: Sequence[Span[Any]], figures: Figures) -> tuple[int, Span[Any], int] | None:
    """The span that reaches the nearest figure when made wider: its place, the wider span, and how many it adds.

    Nothing lies between a span and the figure nearest to it, so what it adds is what has that figure.

    >>> widened([Span(28, 30)], {34: 5, 20: 9})
    (0, Span(low=28, high=34), 5)
    """
    ways = [
        (abs(figure - end), -count, place, wider)
        for place, span in enumerate(spans)
        for figure, count in figures.items()
        for end, wider in _reaching(span, figure)
    ]
    if not ways:
        return None
    _, less, place, wider = min(ways, key=lambda way: way[:3])
    return place, wider, -less


def _reaching(span: Span[Any], figure: Any) -> Iterable[tuple[Any, Span[Any]]]:
    if span.low is not None and figure < span.low:
        yield span.low, Span(figure, span.high)
    if span.high is not None and figure > span.high:
        yield span.high, Span(span.low, figure)


def wider_ways(
    pairs: Pairs, said: Mapping[str, Any], figures: Mapping[str, Figures], names: Names
) -> list[WayOut]:
    """Each range in force made as little wider as finds something.

    said : what each parameter says, as it was read; figures : of each range, which figures there are under all other
    filters, and how many results have them
    """
    settings, ways = dict(pairs), []
    for name, counted in figures.items():
        found = widened(spans_said(name, said[name]), counted)
        if found is not None:
            place, span, count = found
            text = _written(name, span)
            asked = address.write(_with(pairs, name, place, text))
            ways.append(WayOut(chip_words(name, text, names, settings), count, asked))
    return sorted(ways, key=lambda way: -way.count)


def _written(name: str, span: Span[Any]) -> str:
    """A span as an address says it.

    >>> _written("coats", Span(2, None)), _written("coats", Span(3, 3))
    ('2–', '3')
    """
    if name in DATES:
        return WRITTEN[name](span.low if name == "since" else span.high)
    low, high = (WRITTEN[name](end) if end is not None else "" for end in (span.low, span.high))
    return low if span.is_single else f"{low}–{high}"


def _with(pairs: Pairs, name: str, place: int, text: str) -> Pairs:
    """The search with one of the values of a name said otherwise."""
    old = address.values_of(pairs, name)[place]
    changed = ((name, text) if pair == (name, old) else pair for pair in pairs)
    return tuple(dict.fromkeys(changed))


def filters_in(pairs: Pairs) -> list[str]:
    """The names of the filters in force, each once; what only refines another is none.

    >>> filters_in((("cone", "6"), ("cone_by", "target"), ("cone", "5"), ("sort", "run")))
    ['cone']
    """
    return [name for name in dict.fromkeys(name for name, _ in pairs) if _is_filter(name)]


def _is_filter(name: str) -> bool:
    return name not in REFINES and name not in ("sort", "view")


def pairs_of_filters(pairs: Pairs) -> list[tuple[str, str]]:
    """Every two filters in force."""
    return list(combinations(filters_in(pairs), 2))


def ways_without_two(pairs: Pairs, counts: Mapping[tuple[str, str], int], names: Names) -> list[WayOut]:
    """Every two filters that, left out together, find something: those with the most results first."""
    settings = dict(pairs)
    ways = [
        WayOut(
            " and ".join(filter_words(pairs, name, names, settings) for name in two),
            count,
            address.write(lift(pairs, *two)),
        )
        for two, count in counts.items()
        if count
    ]
    return sorted(ways, key=lambda way: -way.count)[:PAIRS_SHOWN]


def filter_words(pairs: Pairs, name: str, names: Names, settings: Mapping[str, str]) -> str:
    """A filter with all its choices, in words."""
    return " or ".join(chip_words(name, value, names, settings) for value in address.values_of(pairs, name))
