"""Columns of codes: each row holds a small number, which stands for one of the few values that occur."""

from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

Codes = NDArray[np.unsignedinteger[Any]]
Flags = NDArray[np.bool_]
Numbers = NDArray[np.int64]


def _itself(value: Any) -> Any:
    return value


@dataclass(slots=True)
class Codebook:
    """The values that occur, each with its code. It only ever grows, so a code keeps its meaning.

    made : what is kept of a value, such as a tuple with names; equal to it
    """

    made: Callable[[Any], Any] = _itself
    values: list[Any] = field(default_factory=list)
    by_value: dict[Hashable, int] = field(default_factory=dict)

    def code(self, value: Hashable) -> int:
        """The code of a value, given now where it has none yet."""
        found = self.by_value.get(value)
        if found is None:
            found = self.by_value[value] = len(self.values)
            self.values.append(self.made(value))
        return found

    def codes(self, values: Sequence[Hashable]) -> list[int]:
        """The codes of values; those that are known are looked up in one go."""
        found = list(map(self.by_value.get, values))
        if None in found:
            found = [
                self.code(value) if code is None else code for code, value in zip(found, values, strict=True)
            ]
        return found  # type: ignore[return-value]


def smallest_type(count: int) -> type[np.unsignedinteger[Any]]:
    """The smallest type that holds codes below `count`."""
    return next(kind for kind in (np.uint8, np.uint16, np.uint32) if count <= np.iinfo(kind).max + 1)


@dataclass(frozen=True, slots=True)
class Facet:
    """Which values of a facet each code answers, as pairs: `codes[i]` answers `values[places[i]]`."""

    codes: Numbers
    places: Numbers
    values: tuple[Any, ...]
    upto: int

    def answering(self, wanted: Callable[[Any], bool]) -> Flags:
        """For each code, whether it answers a wanted value."""
        is_wanted = np.fromiter((wanted(value) for value in self.values), bool, len(self.values))
        flags = np.zeros(self.upto, bool)
        flags[self.codes[is_wanted[self.places]]] = True
        return flags

    def counts(self, by_code: NDArray[Any]) -> dict[Any, int]:
        """How many rows answer each value, from how many have each code; values without any are left out."""
        weights = by_code[self.codes]
        totals = np.bincount(self.places, weights=weights, minlength=len(self.values)).astype(np.int64)
        return {self.values[place]: int(totals[place]) for place in np.flatnonzero(totals)}

    def figures(self, missing: int) -> Numbers:
        """For each code the one figure it answers, `missing` where it answers none."""
        held = np.full(self.upto, missing, np.int64)
        held[self.codes] = np.array([int(value) for value in self.values], np.int64)[self.places]
        return held


def facet_of(
    values: Sequence[Any], answers: Callable[[Any], Iterable[Any]], before: Facet | None = None
) -> Facet:
    """The facet of a codebook's values; `before` is the one of a shorter codebook, which it begins with.

    >>> facet_of([(1, 2), (2,)], lambda pair: pair).counts(np.array([10, 5]))
    {1: 10, 2: 15}
    """
    done = before.upto if before else 0
    if before is not None and done == len(values):
        return before
    index = {value: place for place, value in enumerate(before.values)} if before else {}
    pairs = [
        (code, index.setdefault(answer, len(index)))
        for code in range(done, len(values))
        for answer in dict.fromkeys(answers(values[code]))
    ]
    added = np.array(pairs, np.int64).reshape(-1, 2)
    codes, places = (
        (np.concatenate((before.codes, added[:, 0])), np.concatenate((before.places, added[:, 1])))
        if before
        else (added[:, 0].copy(), added[:, 1].copy())
    )
    return Facet(codes, places, tuple(index), len(values))
