"""The results as they are held: one snapshot that never changes, from which the next one is made."""

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from tiles.columns.answers import MOST_LARGE_KEPT, Answer, Answers
from tiles.columns.coded import Codebook, Codes, Facet, Flags, Numbers, facet_of, smallest_type
from tiles.columns.values import COLUMNS, FACETS, LOOKING_UP, NAMED, SAID, Lookups
from tiles.columns.words import Postings

Floats = NDArray[np.float64]


def kept_with(held: "Held | None", question: Hashable, ask: Callable[[], Answer]) -> Answer:
    """An answer about what is held, the same while nothing is written; where nothing is held, asked each time."""
    return ask() if held is None else held.answers.of(question, ask)


def _large() -> Answers:
    return Answers(MOST_LARGE_KEPT)


# Newest first: by day, then tile number, then zone, then firing. Two keys hold the four.
NUMBER_BITS, FIRINGS_BITS = 24, 16


class Read(NamedTuple):
    """Results as they were read, in any order, column by column; `values` holds one list for each of COLUMNS."""

    keys: Sequence[int]
    days: Sequence[int]
    numbers: Sequence[int]
    zones: Sequence[int]
    firings: Sequence[int]
    lab: Sequence[Sequence[float | None]]
    values: Sequence[Sequence[Any]]


@dataclass(frozen=True, slots=True)
class Rows:
    """Results as columns, newest first. `late` and `place` are the two sorting keys, both rising.

    keys : outcomes' keys
    late : day and tile number as one number, negative so that newer ones come first
    place : zone and firing as one number
    codes : for each column of COLUMNS, the codes
    lab : L*, a*, b*, each a column; not a number where none was measured
    """

    keys: Numbers
    late: Numbers
    place: Numbers
    codes: tuple[Codes, ...]
    lab: tuple[Floats, Floats, Floats]

    def __len__(self) -> int:
        return len(self.keys)

    def every(self) -> tuple[NDArray[Any], ...]:
        return (self.keys, self.late, self.place, *self.codes, *self.lab)


def rows_of(columns: Iterable[NDArray[Any]]) -> Rows:
    """Rows of columns in the order of `Rows.every`."""
    keys, late, place, *rest = columns
    lab_l, lab_a, lab_b = rest[len(COLUMNS) :]
    return Rows(keys, late, place, tuple(rest[: len(COLUMNS)]), (lab_l, lab_a, lab_b))


@dataclass(frozen=True, slots=True)
class Held:
    """All results at one moment.

    books : the codebooks, shared by all snapshots; they only grow
    sizes : how many codes of each book are in use here
    facets : what each code of a column answers
    words : where each word that people wrote stands, by the codes of SAID; shared, only grows
    totals : how many rows have each code, for each column that was asked about; filled as it is asked
    answers, large : what was worked out of this very snapshot, of the large answers only the last few
    """

    rows: Rows
    books: tuple[Codebook, ...]
    sizes: tuple[int, ...]
    facets: Mapping[str, Facet]
    lookups: Lookups
    words: Postings
    totals: dict[int, Numbers] = field(default_factory=dict)
    answers: Answers = field(default_factory=Answers)
    large: Answers = field(default_factory=_large)

    @property
    def byte_count(self) -> int:
        """The memory of the rows; codebooks come on top, one entry for each value that occurs."""
        return sum(column.nbytes for column in self.rows.every())

    def total_by_code(self, column: int) -> Numbers:
        """How many of all rows have each code of a column."""
        if column not in self.totals:
            self.totals[column] = np.bincount(self.rows.codes[column], minlength=self.sizes[column])
        return self.totals[column]

    def counts_of(self, facet: str) -> dict[Any, int]:
        """How many of all rows answer each value of a facet."""
        return self.facets[facet].counts(self.total_by_code(FACETS[facet][0]))

    @property
    def numbers(self) -> Numbers:
        """The tiles' numbers."""
        return (-self.rows.late) & ((1 << NUMBER_BITS) - 1)


def nothing() -> Held:
    """A snapshot without results."""
    books = tuple(Codebook(NAMED[column]._make) if column in NAMED else Codebook() for column in COLUMNS)
    none = Read((), (), (), (), (), ((), (), ()), tuple(() for _ in COLUMNS))
    return Held(
        coded(none, books), books, _sizes(books), _facets(books, Lookups(), {}), Lookups(), Postings()
    )


def coded(read: Read, books: Sequence[Codebook]) -> Rows:
    """What was read, as columns, newest first; the codebooks take in what is new."""
    codes = [_codes(values, book) for values, book in zip(read.values, books, strict=True)]
    keys, days, numbers, zones, firings = (np.array(column, np.int64) for column in read[:5])
    late = -((days << NUMBER_BITS) | numbers)
    place = (zones << FIRINGS_BITS) | ((1 << FIRINGS_BITS) - 1 - firings)
    lab = [np.array(column, np.float64) for column in read.lab]
    order = np.lexsort((place, late))
    return rows_of(column[order] for column in (keys, late, place, *codes, *lab))


def _codes(values: Sequence[Any], book: Codebook) -> Codes:
    found = np.array(book.codes(values), np.uint32)
    return found.astype(smallest_type(len(book.values)))


def joined(parts: Sequence[Rows]) -> Rows:
    """Rows read piece by piece, in one order."""
    if len(parts) < 2:
        return parts[0] if parts else nothing().rows
    columns = [np.concatenate(column) for column in zip(*(part.every() for part in parts), strict=True)]
    order = np.lexsort((columns[2], columns[1]))
    return rows_of(column[order] for column in columns)


def with_rows(held: Held, rows: Rows) -> Held:
    """The same with other rows, whose values the codebooks know; facets and words take in what is new."""
    held.words.take_in(held.books[SAID].values)
    return replace(
        held,
        rows=rows,
        totals={},
        answers=Answers(),
        large=_large(),
        sizes=_sizes(held.books),
        facets=_facets(held.books, held.lookups, held.facets),
    )


def with_lookups(held: Held, lookups: Lookups) -> Held:
    """The same after shared records changed."""
    kept = {name: facet for name, facet in held.facets.items() if name not in LOOKING_UP}
    facets = _facets(held.books, lookups, kept)
    return replace(
        held,
        lookups=lookups,
        totals={},
        answers=Answers(),
        large=_large(),
        sizes=_sizes(held.books),
        facets=facets,
    )


def _sizes(books: Sequence[Codebook]) -> tuple[int, ...]:
    return tuple(len(book.values) for book in books)


def _facets(books: Sequence[Codebook], lookups: Lookups, before: Mapping[str, Facet]) -> dict[str, Facet]:
    return {
        name: facet_of(
            books[column].values,
            lambda value, answers=answers: answers(value, lookups),  # type: ignore[misc]
            before.get(name),
        )
        for name, (column, answers) in FACETS.items()
    }


def changed(held: Held, keys: Sequence[int], reads: Iterable[Read]) -> Held:
    """The next snapshot: without what the results of these keys were, with what was read of them, each at its place."""
    fresh = joined([coded(read, held.books) for read in reads])
    stays = ~np.isin(held.rows.keys, np.array(keys, np.int64))
    places = _places(held.rows, fresh)
    before = np.cumsum(stays)
    # Places among the rows that stay: those gone before each place do not count.
    places = np.where(places > 0, before[np.minimum(places, len(before)) - 1], 0) if len(before) else places
    columns = [
        _merged(old, stays, new, places) for old, new in zip(held.rows.every(), fresh.every(), strict=True)
    ]
    return with_rows(held, rows_of(columns))


def _merged(old: NDArray[Any], stays: Flags, new: NDArray[Any], places: Numbers) -> NDArray[Any]:
    wide = np.promote_types(old.dtype, new.dtype)
    return np.insert(old[stays].astype(wide, copy=False), places, new.astype(wide, copy=False))


def _places(rows: Rows, fresh: Rows) -> Numbers:
    """Before which row each new one stands."""
    first = np.searchsorted(rows.late, fresh.late, "left")
    last = np.searchsorted(rows.late, fresh.late, "right")
    return np.array(
        [
            low + int(np.searchsorted(rows.place[low:high], place))
            for low, high, place in zip(first.tolist(), last.tolist(), fresh.place.tolist(), strict=True)
        ],
        np.int64,
    )
