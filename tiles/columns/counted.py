"""Counts and selections over held results, every facet under the filters of all others."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tiles.columns.coded import Flags, Numbers
from tiles.columns.held import Floats, Held
from tiles.columns.values import COLUMNS, FACETS


@dataclass(slots=True)
class Filters:
    """What is asked, by the name of each filter.

    on_codes : its column, and for each code of it whether the filter lets it pass
    on_rows : for filters that no column holds, whether it lets each row pass
    """

    held: Held
    on_codes: dict[str, tuple[int, Flags]] = field(default_factory=dict)
    on_rows: dict[str, Flags] = field(default_factory=dict)
    _by_column: dict[int, Flags] = field(default_factory=dict)

    def answer(self, name: str, facet: str, wanted: Callable[[Any], bool], *, none: bool = False) -> None:
        """Let those pass that answer a wanted value of a facet; with `none`, those that answer none of them."""
        flags = self.held.facets[facet].answering(wanted)
        self.on_codes[name] = (FACETS[facet][0], ~flags if none else flags)

    def of_column(self, column: int, *, but: str = "") -> Flags | None:
        """For each code of a column whether its filters, all but one, let it pass; None where there is none."""
        flags = [one for name, (place, one) in self.on_codes.items() if place == column and name != but]
        return np.logical_and.reduce(flags) if flags else None

    def rows(self, *, without_column: int | None = None, but: str = "") -> Flags | None:
        """Whether each row passes all filters, but those of one column or the one of that name; None where all do."""
        passed: Flags | None = None
        for column in COLUMNS:
            if column != without_column and (flags := self._column_rows(column)) is not None:
                passed = flags if passed is None else passed & flags
        for name, flags in self.on_rows.items():
            if name != but:
                passed = flags if passed is None else passed & flags
        return passed

    def _column_rows(self, column: int) -> Flags | None:
        if column not in self._by_column:
            flags = self.of_column(column)
            if flags is None:
                return None
            self._by_column[column] = flags.take(self.held.rows.codes[column])
        return self._by_column[column]


@dataclass(frozen=True, slots=True)
class Counted:
    """How many results there are: in all, with each value of each facet, and with each filter left out."""

    total: int
    by_facet: Mapping[str, Mapping[Any, int]]
    left_out: Mapping[str, int]
    without: Mapping[str, int]


def count(filters: Filters, facets: Mapping[str, str]) -> Counted:
    """Count facets: for each name of a filter, the facet whose values are counted under all other filters.

    One pass over the rows for each column, whatever the number of its facets: rows are counted by code, and what a
    code answers, and whether the column's own filters let it pass, is settled among the codes.
    """
    held = filters.held
    passed = filters.rows()
    places = _places(passed)
    total = len(held.rows) if places is None else len(places)
    by_facet: dict[str, Mapping[Any, int]] = {}
    left_out = {name: _count(filters.rows(but=name), len(held.rows)) for name in filters.on_rows}
    without: dict[str, int] = {}
    for column in COLUMNS:
        counts = _by_code(filters, column, places)
        for name, facet in facets.items():
            if FACETS[facet][0] == column:
                own = filters.of_column(column, but=name)
                by_code = counts if own is None else counts * own
                by_facet[name] = held.facets[facet].counts(by_code)
                without[name] = int(by_code.sum())
        for name, (place, _) in filters.on_codes.items():
            if place == column:
                own = filters.of_column(column, but=name)
                left_out[name] = int((counts if own is None else counts[own]).sum())
    return Counted(total, by_facet, left_out, without)


def coloured(filters: Filters) -> tuple[Numbers, Floats, int]:
    """Keys and L*a*b* of those that have a colour, by their keys, and how many have none."""
    rows = filters.held.rows
    passed = filters.rows()
    known = ~np.isnan(rows.lab[0])
    places = np.flatnonzero(known if passed is None else known & passed)
    order = places[np.argsort(rows.keys[places])]
    total = len(rows) if passed is None else int(passed.sum())
    return rows.keys[order], np.stack([column[order] for column in rows.lab], axis=1), total - len(places)


def _by_code(filters: Filters, column: int, places: Numbers | None) -> Numbers:
    """How many rows that pass the filters of all other columns have each code."""
    held = filters.held
    if filters.of_column(column) is not None:
        places = _places(filters.rows(without_column=column))
    if places is None:
        return held.total_by_code(column)
    return np.bincount(held.rows.codes[column].take(places), minlength=held.sizes[column])


def _places(passed: Flags | None) -> Numbers | None:
    return None if passed is None else np.flatnonzero(passed)


def _count(passed: Flags | None, most: int) -> int:
    return most if passed is None else int(np.count_nonzero(passed))


def len_of(filters: Filters) -> int:
    """How many rows pass all filters."""
    return _count(filters.rows(), len(filters.held.rows))


def marked(held: Held, keys: Iterable[int]) -> Flags:
    """Whether each row's outcome is among these keys."""
    return np.isin(held.rows.keys, np.fromiter(keys, np.int64))


def page(
    filters: Filters, start: int, stop: int, figures: NDArray[Any] | None = None, *, by_number: bool = False
) -> list[int]:
    """The keys of results from `start` to `stop`.

    In the order of `figures`, one a row and rising, equal ones newest first; by tile number, zone and firing; or, with
    neither, newest first.
    """
    rows = filters.held.rows
    places = _places(filters.rows())
    if figures is None and not by_number:
        shown = slice(start, stop) if places is None else places[start:stop]
        return rows.keys[shown].tolist()
    if places is None:
        places = np.arange(len(rows))
    if by_number:
        first = _foremost(filters.held.numbers[places], stop)
        found = places[first]
        place = rows.place[found]
        order = np.lexsort((-(place & 0xFFFF), place >> 16, filters.held.numbers[found]))
    else:
        first = _foremost(figures[places], stop)  # type: ignore[index]
        found = places[first]
        order = np.argsort(figures[found], kind="stable")  # type: ignore[index]
    return rows.keys[found[order][start:stop]].tolist()


def _foremost(figures: NDArray[Any], stop: int) -> Numbers:
    """The places of at least the `stop` lowest figures, ties all included, in their order."""
    if stop >= len(figures):
        return np.arange(len(figures))
    bound = np.partition(figures, stop - 1)[stop - 1]
    return np.flatnonzero(figures <= bound)
