"""Where nothing passes all filters: how many rows miss but one of them, or two."""

from collections.abc import Iterable, Mapping

import numpy as np
from numpy.typing import NDArray

from tiles.columns.coded import Flags
from tiles.columns.counted import Filters
from tiles.columns.values import COLUMNS

Missed = Mapping[frozenset[str], int]
# So many filters have a place each in a table of all their sets; more are counted by sorting.
TABLED = 16


def missed(filters: Filters) -> Missed:
    """How many rows miss exactly these filters, for each set of two at most; in one pass over the columns asked."""
    names = [*filters.on_codes, *filters.on_rows]
    bits = np.zeros(len(filters.held.rows), np.uint64)
    for column in COLUMNS:
        by_code = _bits_by_code(filters, column, names)
        if by_code is not None:
            bits |= by_code.take(filters.held.rows.codes[column])
    for name, flags in filters.on_rows.items():
        bits |= _bit(~flags, names.index(name))
    few = bits[_but_two(bits) == 0]
    return {_names_of(int(one), names): count for one, count in _counted(few, len(names))}


def _bits_by_code(filters: Filters, column: int, names: list[str]) -> NDArray[np.uint64] | None:
    missing = [
        _bit(~flags, names.index(name))
        for name, (place, flags) in filters.on_codes.items()
        if place == column
    ]
    return np.bitwise_or.reduce(missing) if missing else None


def _bit(flags: Flags, place: int) -> NDArray[np.uint64]:
    return flags.astype(np.uint64) << np.uint64(place)


def _but_two(bits: NDArray[np.uint64]) -> NDArray[np.uint64]:
    """What is left of sets of bits without their two lowest; in an empty set, nothing less one wraps to all bits."""
    one = np.uint64(1)
    left = bits & (bits - one)
    return left & (left - one)


def _counted(sets: NDArray[np.uint64], filters: int) -> Iterable[tuple[int, int]]:
    if filters <= TABLED:
        counts = np.bincount(sets.astype(np.int64), minlength=1)
        found = np.flatnonzero(counts)
        return zip(found.tolist(), counts[found].tolist(), strict=True)
    found, counts = np.unique(sets, return_counts=True)
    return zip(found.tolist(), counts.tolist(), strict=True)


def _names_of(bits: int, names: list[str]) -> frozenset[str]:
    return frozenset(name for place, name in enumerate(names) if bits >> place & 1)


def without(found: Missed, *names: str) -> int:
    """How many rows pass all filters but these.

    >>> without({frozenset(): 1, frozenset({"cone"}): 4, frozenset({"cone", "body"}): 2}, "cone", "body")
    7
    """
    left_out = frozenset(names)
    return sum(count for missing, count in found.items() if missing <= left_out)
