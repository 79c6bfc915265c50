"""What tiles show of a plan and what is missing: gaps, and what each tile saved costs."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tiles.plans.coverage import Coverage, Never, Row


@dataclass(frozen=True, slots=True)
class Shown:
    """How many of the combinations that can be are shown, and which are not."""

    shown: int
    possible: int
    missing: tuple[Never, ...]

    @property
    def share(self) -> float:
        return self.shown / self.possible if self.possible else 1.0


def shown_by(
    rows: Iterable[Sequence[int]], levels: Sequence[int], strength: int = 2, *, never: Iterable[Never] = ()
) -> Shown:
    """What rows show of all combinations of `strength` levels.

    >>> shown_by([(0, 0), (1, 1)], (2, 2)).missing
    (((0, 0), (1, 1)), ((0, 1), (1, 0)))
    """
    coverage = Coverage(tuple(levels), strength, tuple(never))
    missing = sorted(coverage.missing(rows))
    possible = sum(coverage.needed)
    return Shown(possible - len(missing), possible, tuple(coverage.combination(number) for number in missing))


def most_telling_first(
    rows: Iterable[Row], levels: Sequence[int], strength: int = 2, *, never: Iterable[Never] = ()
) -> list[tuple[Row, float]]:
    """The rows so ordered that each shows most of what those before it left, with the share shown up to it.

    Read from the end it says what each tile saved costs in coverage.

    >>> [round(share, 2) for _, share in most_telling_first([(0, 0), (0, 1), (1, 0), (1, 1)], (2, 2))]
    [0.25, 0.5, 0.75, 1.0]
    """
    coverage = Coverage(tuple(levels), strength, tuple(never))
    missing, possible = coverage.missing(()), sum(coverage.needed)
    left, ordered = sorted(rows), []
    while left:
        row = max(left, key=lambda row: len(missing.intersection(coverage.shown_by(row))))
        left.remove(row)
        missing.difference_update(coverage.shown_by(row))
        ordered.append((row, 1 - len(missing) / possible if possible else 1.0))
    return ordered


def counted(rows: Iterable[Sequence[int]], first: int, second: int) -> Counter[tuple[int, int]]:
    """How many rows have each pair of levels of two factors; a pair that is missing counts 0."""
    return Counter((row[first], row[second]) for row in rows)
