"""Covering sets: few tiles, and yet every two (or three) conditions meet on some tile.

Several ways are tried and the plan with the fewest rows is kept: orthogonal arrays by algebra where they exist, small
arrays a search once found, a grid of the longest factors, rows one by one; then rows are merged and mended away.

Our sizes beside the published minima (pairs unless three are said). Minima for 3^11 to 3^20, 4^7, 6^5: abstract of a
paper on optimal covering arrays by an orderly algorithm; two levels: Katona's formula; v² where an orthogonal array
exists; the others from memory of Colbourn's tables, unverified. The tests hold each.

    factors of levels   2^4 2^10 2^15  3^4 3^5 3^6 3^7 3^9 3^10 3^13 3^20  4^5 4^6 4^7 4^8 4^9 4^10  5^6 5^7 5^8
    published             5    6    7    9  11  12  12  13   14   15   15   16  19  21  22  23   24   25  29  33
    ours                  5    6    7    9  11  12  12  13   14   15   17   16  19  21  23  24   25   25  29  33

    factors of levels   5^9 5^10  6^3 6^4 6^5 6^6 6^7  7^8 7^9 8^9 9^10 10^4;  three meet: 2^5 2^11 3^4 3^6 4^6 5^6
    published            35   36   36  37  39  41  42   49  59  64   81  100                10   12  27  33  64 125
    ours                 36   38   36  37  39  42  44   49  61  64   81  103                10   12  27  33  64 125
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from math import comb, prod

from tiles.plans.arrays import uniform
from tiles.plans.coverage import Coverage, Never, Open, Row, breaks, extends
from tiles.plans.rows import completed
from tiles.plans.tabu import Mending, with_fewer_rows
from tiles.plans.trimming import trimmed, whole

MOST_FACTORS, MOST_LEVELS, MOST_STRENGTH = 20, 20, 3
# A plan of more combinations would take minutes, not moments.
MOST_COMBINATIONS = 120_000
# Beyond so many only algebra is quick.
WIDE = 12_000
# Work is bounded by steps, not by time, so that the same question always gets the same plan. So many changes are
# weighed to mend a plan; a plan of five factors is there in about a tenth of a second.
EFFORT = 120_000
FEWEST_STEPS, MOST_STEPS = 40, 2_500
# Where all factors have the same levels, no moment's search shortens these: long searches did not, or it is proved.
SETTLED = ("array found", "halves")


class ImpossiblePlan(ValueError):
    """What was asked cannot be planned; the message says why and what to do."""


@dataclass(frozen=True, slots=True)
class CoveringSet:
    """Rows of level indices, one per tile. No plan has fewer rows than `fewest`; `way` names how it was found."""

    rows: tuple[Row, ...]
    fewest: int
    way: str

    @property
    def is_smallest(self) -> bool:
        """Whether it is proved that no smaller plan exists."""
        return len(self.rows) == self.fewest


def covering_set(
    levels: Sequence[int],
    strength: int = 2,
    *,
    never: Iterable[Iterable[tuple[int, int]]] = (),
    existing: Iterable[Sequence[int]] = (),
) -> CoveringSet:
    """A small set of rows in which every `strength` levels of different factors meet.

    Parameters
    ----------
    levels : how many levels each factor has
    strength : 1 to 3; how many conditions must meet
    never : combinations that must not be made, as pairs (factor, level); what they make impossible is not asked
    existing : rows that are there already: what they show is not asked for again

    Raises
    ------
    ImpossiblePlan : figures out of range, or no row is allowed

    >>> len(covering_set([3, 3, 3, 3, 3]).rows)
    11
    """
    asked = (
        tuple(levels),
        strength,
        tuple(sorted({tuple(sorted(set(one))) for one in never})),
        tuple(sorted({tuple(row) for row in existing})),
    )
    _check(*asked)
    return _planned(*asked)


def _check(levels: Row, strength: int, never: tuple[Never, ...], existing: tuple[Row, ...]) -> None:
    if not 1 <= len(levels) <= MOST_FACTORS:
        raise ImpossiblePlan(f"A plan takes 1 to {MOST_FACTORS} factors; these are {len(levels)}.")
    if not all(1 <= count <= MOST_LEVELS for count in levels):
        raise ImpossiblePlan(f"Each factor takes 1 to {MOST_LEVELS} levels.")
    if not 1 <= strength <= MOST_STRENGTH:
        raise ImpossiblePlan(f"Strength is 1, 2 or 3 conditions that meet, not {strength}.")
    if strength > len(levels):
        raise ImpossiblePlan(
            f"{strength} conditions cannot meet where there are {len(levels)}; add a factor."
        )
    widest = max(levels) ** strength * comb(len(levels), strength)
    if widest > MOST_COMBINATIONS and _combinations(levels, strength) > MOST_COMBINATIONS:
        raise ImpossiblePlan("That is too large a plan; take fewer levels or factors, or let pairs meet.")
    for one in never:
        if not one or any(not 0 <= f < len(levels) or not 0 <= n < levels[f] for f, n in one):
            raise ImpossiblePlan("A rule names a factor or level that the plan has not.")
    for row in existing:
        if len(row) != len(levels) or any(not 0 <= n < count for n, count in zip(row, levels, strict=True)):
            raise ImpossiblePlan("A row that exists has other factors or levels than the plan.")
    if not extends([None] * len(levels), levels, never):
        raise ImpossiblePlan("These rules leave no tile to make; take one away.")


def _combinations(levels: Row, strength: int) -> int:
    """How many combinations there are: the elementary symmetric polynomial of the level counts."""
    sums = [1] + [0] * strength
    for count in levels:
        for place in range(strength, 0, -1):
            sums[place] += sums[place - 1] * count
    return sums[strength]


@lru_cache(maxsize=256)
def _planned(levels: Row, strength: int, never: tuple[Never, ...], existing: tuple[Row, ...]) -> CoveringSet:
    coverage = Coverage(levels, strength, never)
    coverage.leave_out(existing)
    fewest = coverage.fewest
    if not fewest:
        return CoveringSet((), 0, "all of it exists")
    is_plain = len(set(levels)) == 1 and not never and not existing
    found: list[tuple[int, str, list[Row]]] = []
    for way, rows in _ways(coverage):
        if len(rows) == fewest or (is_plain and way in SETTLED):
            return CoveringSet(tuple(sorted(rows)), fewest, way)
        found.append((len(rows), way, rows))
    _, way, rows = min(found, key=lambda one: one[0])
    fewer = with_fewer_rows(rows, coverage, steps=_steps(coverage, len(rows)))
    return CoveringSet(tuple(sorted(fewer)), fewest, way)


def _steps(coverage: Coverage, rows: int) -> int:
    """How many changes the effort allows: a step looks at every row, and weighs a change in those near.

    Rules must be looked at in each of them, which takes as long again.
    """
    per_step = rows * (1 + len(coverage.around[0]) / max(coverage.levels))
    most = MOST_STEPS // 2 if coverage.never else MOST_STEPS
    return max(FEWEST_STEPS, min(most, round(EFFORT / per_step)))


def _ways(coverage: Coverage) -> Iterator[tuple[str, list[Row]]]:
    """Plans found in different ways, the quickest first."""
    is_enough = False
    for way in _by_arrays(coverage):
        is_enough = len(coverage.needed) > WIDE
        yield way
    if is_enough:
        return
    yield "grid of the longest factors", _by_grid(coverage)
    for seed in range(2):
        yield "row by row", trimmed(completed((), coverage, seed=seed), coverage)


def _by_arrays(coverage: Coverage) -> Iterator[tuple[str, list[Row]]]:
    """The smallest array whose factors all have the longest one's levels, cut down to ours."""
    levels, strength = coverage.levels, coverage.strength
    for way, array in list(uniform(len(levels), max(levels), strength))[:2]:
        if len(array) * len(coverage.groups) > 4 * len(coverage.needed) + WIDE:
            continue
        open_rows: list[Open] = [
            [level if level < count else None for level, count in zip(row, levels, strict=True)]
            for row in array
        ]
        allowed = [row for row in open_rows if extends(row, levels, coverage.never)]
        rows = completed(whole(allowed, coverage), coverage)
        yield way, trimmed(rows, coverage)


def _by_grid(coverage: Coverage) -> list[Row]:
    """All combinations of the longest factors, the others filled in to show most, mended, then completed."""
    levels, strength = coverage.levels, coverage.strength
    longest = sorted(range(len(levels)), key=lambda factor: (-levels[factor], factor))[:strength]
    rows: list[Open] = []
    for combination in product(*(range(levels[factor]) for factor in longest)):
        row: Open = [None] * len(levels)
        for factor, level in zip(longest, combination, strict=True):
            row[factor] = level
        if extends(row, levels, coverage.never):
            rows.append(row)
    mending = Mending(whole(rows, coverage), coverage)
    if len(coverage.needed) <= WIDE:
        mending.mend(_steps(coverage, len(rows)))
    return trimmed(completed([tuple(row) for row in mending.rows], coverage), coverage)


def all_combinations(levels: Sequence[int], *, never: Iterable[Never] = ()) -> list[Row]:
    """Every combination of levels that is allowed.

    >>> len(all_combinations([2, 3], never=[((0, 0), (1, 2))]))
    5
    """
    rules = tuple(never)
    if prod(levels) > MOST_COMBINATIONS:
        raise ImpossiblePlan("That is too many tiles to list; take a covering set.")
    return [row for row in product(*(range(count) for count in levels)) if not breaks(row, rules)]
