"""What a series asks for against what was fired: its combinations, and the pairs of conditions they meet in."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, islice, product
from math import prod

from tiles.plans.coverage import Row, breaks, extends
from tiles.plans.covering import MOST_COMBINATIONS, ImpossiblePlan
from tiles.plans.gaps import Shown, counted, shown_by
from tiles.plans.sketch import Sketch
from tiles.plans.tilelist import Combination, Drawing

MOST_MISSING = 60


@dataclass(frozen=True, slots=True)
class Table:
    """Two conditions crossed: how many fired combinations have each pair of levels, None where the rules forbid it."""

    rows: str
    columns: str
    row_levels: tuple[str, ...]
    column_levels: tuple[str, ...]
    counts: tuple[tuple[int | None, ...], ...]


@dataclass(frozen=True, slots=True)
class Against:
    """A series against what was fired.

    asked : how many combinations its levels and rules allow; None for too many to list
    fired : how many different ones of them were fired
    missing : those that were not, the first of them
    pairs : of every two levels of different conditions, how many were fired together
    """

    asked: int | None
    fired: int
    missing: tuple[Combination, ...]
    pairs: Shown
    tables: tuple[Table, ...]


def against(sketch: Sketch, own_lots: Mapping[str, Collection[str]], fired: Sequence[Combination]) -> Against:
    """A series' plan against combinations that were fired; those with other levels do not count.

    Raises ImpossiblePlan where its rules forbid every tile.
    """
    drawing = Drawing(sketch, own_lots)
    levels = drawing.plan.level_counts
    if not extends([None] * len(levels), levels, drawing.never):
        raise ImpossiblePlan("The rules forbid every tile of this plan; take one away.")
    rows = dict.fromkeys(row for one in fired if (row := drawing.row_of(one)) is not None)
    allowed = [row for row in rows if not breaks(row, drawing.never)]
    is_listed = prod(levels) <= MOST_COMBINATIONS
    asked = (
        [row for row in product(*map(range, levels)) if not breaks(row, drawing.never)] if is_listed else []
    )
    made = set(allowed)
    pairs = shown_by(allowed, levels, never=drawing.never) if len(levels) > 1 else Shown(0, 0, ())
    return Against(
        len(asked) if is_listed else None,
        len(allowed),
        tuple(map(drawing.whole, islice((row for row in asked if row not in made), MOST_MISSING))),
        pairs,
        tuple(_tables(drawing, allowed, pairs)),
    )


def _tables(drawing: Drawing, rows: Sequence[Row], pairs: Shown) -> list[Table]:
    factors, missing = drawing.plan.factors, set(pairs.missing)
    found = []
    for first, second in combinations(range(len(factors)), 2):
        counts = counted(rows, first, second)
        cells = tuple(
            tuple(
                counts[one, other]
                if counts[one, other] or ((first, one), (second, other)) in missing
                else None
                for other in range(len(factors[second].levels))
            )
            for one in range(len(factors[first].levels))
        )
        found.append(
            Table(
                factors[first].name,
                factors[second].name,
                factors[first].levels,
                factors[second].levels,
                cells,
            )
        )
    return found
