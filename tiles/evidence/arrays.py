"""Small steps on columns of numbers that counting and pairing share."""

from collections.abc import Sequence
from math import prod
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tiles.columns.coded import Numbers

# Products of radices up to here fit a column of 64-bit numbers.
MOST = 2**62


def numbered(values: NDArray[Any]) -> tuple[NDArray[Any], Numbers]:
    """The values that occur, rising, and for each place which of them stands there."""
    found, which = np.unique(values, return_inverse=True)
    return found, which.astype(np.int64)


def in_use(codes: NDArray[Any], upto: int) -> tuple[Numbers, Numbers]:
    """The same for codes below a bound that is not far above their number: without sorting."""
    used = np.zeros(upto, bool)
    used[codes] = True
    place = np.cumsum(used) - 1
    return np.flatnonzero(used), place[codes]


def folded(columns: Sequence[Numbers], sizes: Sequence[int]) -> Numbers:
    """One number for each row of several columns, equal exactly where all of them are equal.

    sizes : each column's numbers lie from 0 to below this

    >>> folded([np.array([0, 1, 0]), np.array([2, 2, 2])], (2, 3)).tolist()
    [2, 5, 2]
    """
    if prod(map(int, sizes)) <= MOST:
        row = np.zeros(len(columns[0]), np.int64)
        for column, size in zip(columns, sizes, strict=True):
            row = row * size + column
        return row
    row, size = columns[0], sizes[0]
    for column, other in zip(columns[1:], sizes[1:], strict=True):
        if size * other > MOST:
            found, row = numbered(row)
            size = len(found)
        row, size = row * other + column, size * other
    return row


def starts_of(ordered: NDArray[Any]) -> Numbers:
    """Where each run of equal values begins, and the end behind the last."""
    if not len(ordered):
        return np.zeros(1, np.int64)
    begins = np.flatnonzero(ordered[1:] != ordered[:-1]) + 1
    return np.concatenate(([0], begins, [len(ordered)])).astype(np.int64)


def spread_out(starts: Numbers, counts: Numbers) -> Numbers:
    """The places of several stretches, one stretch after the other.

    >>> spread_out(np.array([5, 0]), np.array([2, 3])).tolist()
    [5, 6, 0, 1, 2]
    """
    total = int(counts.sum())
    ends = np.cumsum(counts)
    return np.arange(total) + np.repeat(starts - (ends - counts), counts)


def pairs_within(group: Numbers) -> tuple[Numbers, Numbers]:
    """All pairs of places with the same group; places of one group stand together.

    >>> [one.tolist() for one in pairs_within(np.array([4, 4, 4, 7]))]
    [[0, 1, 0], [1, 2, 2]]
    """
    first = np.arange(len(group))
    found_first, found_second = [np.zeros(0, np.int64)], [np.zeros(0, np.int64)]
    for step in range(1, len(group)):
        first = first[first + step < len(group)]
        first = first[group[first] == group[first + step]]
        if not len(first):
            break
        found_first.append(first)
        found_second.append(first + step)
    return np.concatenate(found_first), np.concatenate(found_second)
