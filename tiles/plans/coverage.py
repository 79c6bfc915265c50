"""The combinations a plan must show, numbered, and how often its rows show each."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import combinations, product
from math import prod

Row = tuple[int, ...]
# A row in the making: None where any level would do.
Open = list[int | None]
# Levels that never come together: pairs of a factor and its level, by their places.
Never = tuple[tuple[int, int], ...]


def breaks(row: Sequence[int | None], never: Iterable[Never]) -> bool:
    """Whether a row, as far as it is filled, holds levels that never come together."""
    return any(all(row[factor] == level for factor, level in one) for one in never)


def extends(row: Open, levels: Sequence[int], never: Sequence[Never]) -> bool:
    """Whether the open places of a row can be filled so that it is allowed."""
    if breaks(row, never):
        return False
    touched = {factor for one in never for factor, _ in one}
    place = next((factor for factor in sorted(touched) if row[factor] is None), None)
    if place is None:
        return True
    tried = list(row)
    for level in range(levels[place]):
        tried[place] = level
        if extends(tried, levels, never):
            return True
    return False


@dataclass(slots=True)
class Coverage:
    """All combinations of `strength` levels, numbered from 0; those that can't be, or exist, are not needed.

    groups : factors taken together, each group with the number of its first combination and the strides of its factors
    around : for each factor its groups as (first, own stride, ((other factor, its stride), …))
    needed : for each combination whether a row must show it
    """

    levels: Row
    strength: int
    never: tuple[Never, ...]
    groups: list[tuple[int, tuple[int, ...], tuple[int, ...]]] = field(default_factory=list)
    around: list[list[tuple[int, int, tuple[tuple[int, int], ...]]]] = field(default_factory=list)
    needed: bytearray = field(default_factory=bytearray)

    def __post_init__(self) -> None:
        self.around = [[] for _ in self.levels]
        first = 0
        for group in combinations(range(len(self.levels)), self.strength):
            sizes = [self.levels[factor] for factor in group]
            strides = tuple(prod(sizes[place + 1 :]) for place in range(self.strength))
            self.groups.append((first, group, strides))
            for factor, stride in zip(group, strides, strict=True):
                others = tuple(pair for pair in zip(group, strides, strict=True) if pair[0] != factor)
                self.around[factor].append((first, stride, others))
            first += prod(sizes)
        self.needed = bytearray(b"\x01" * first)
        if self.never:
            self._leave_out_what_cannot_be()

    def _leave_out_what_cannot_be(self) -> None:
        touched = {factor for one in self.never for factor, _ in one}
        for number, combination in self.combinations():
            if touched.isdisjoint(factor for factor, _ in combination):
                continue
            row: Open = [None] * len(self.levels)
            for factor, level in combination:
                row[factor] = level
            self.needed[number] = extends(row, self.levels, self.never)

    def combinations(self) -> Iterable[tuple[int, Never]]:
        """Every combination with its number."""
        for first, group, _ in self.groups:
            for place, levels in enumerate(product(*(range(self.levels[factor]) for factor in group))):
                yield first + place, tuple(zip(group, levels, strict=True))

    def shown_by(self, row: Sequence[int]) -> list[int]:
        """The numbers of the combinations a whole row shows."""
        return [
            first + sum(row[factor] * stride for factor, stride in zip(group, strides, strict=True))
            for first, group, strides in self.groups
        ]

    def shown_by_open(self, row: Sequence[int | None]) -> list[int]:
        """The same of a row that may have open places."""
        found = []
        for first, group, strides in self.groups:
            number = first
            for factor, stride in zip(group, strides, strict=True):
                level = row[factor]
                if level is None:
                    break
                number += level * stride
            else:
                found.append(number)
        return found

    def bases(self, row: Sequence[int], factor: int) -> list[tuple[int, int]]:
        """For each group of a factor: the number at its level 0 beside the row's other levels, and its stride."""
        if self.strength == 2:
            return [
                (first + row[other] * stride, own) for first, own, ((other, stride),) in self.around[factor]
            ]
        return [
            (first + sum(row[other] * stride for other, stride in others), own)
            for first, own, others in self.around[factor]
        ]

    def leave_out(self, rows: Iterable[Sequence[int]]) -> None:
        """What these rows show need not be shown again."""
        for row in rows:
            for number in self.shown_by(row):
                self.needed[number] = 0

    @property
    def fewest(self) -> int:
        """No plan has fewer rows: one row shows one combination of each group."""
        ends = [first for first, _, _ in self.groups[1:]] + [len(self.needed)]
        starts = (first for first, _, _ in self.groups)
        return max((sum(self.needed[a:b]) for a, b in zip(starts, ends, strict=True)), default=0)

    def missing(self, rows: Iterable[Sequence[int]]) -> set[int]:
        """The needed combinations that no row shows."""
        left = {number for number, is_needed in enumerate(self.needed) if is_needed}
        for row in rows:
            left.difference_update(self.shown_by(row))
        return left

    def combination(self, number: int) -> Never:
        """The combination of a number."""
        first, group, strides = next(one for one in reversed(self.groups) if one[0] <= number)
        left, found = number - first, []
        for factor, stride in zip(group, strides, strict=True):
            found.append((factor, left // stride))
            left %= stride
        return tuple(found)
