"""Laying results out in rows and columns, and choosing the one that stands for a cell."""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass

from tiles.columns.values import Lookups
from tiles.ranges.axes import NOTHING, Axis, Fired, Level, known, levels_on
from tiles.vocabulary import Verdict

# So many rows or columns can be taken in at a glance and print on one page; those with fewest results go first.
MOST_LEVELS = 12


@dataclass(frozen=True, slots=True)
class Asked:
    """What is laid out: the axes down and across, and the level at which other axes are held."""

    rows: Axis
    columns: Axis
    held: Mapping[Axis, str]


@dataclass(frozen=True, slots=True)
class Cell:
    """A place in the matrix: the results that stand there, the one that stands for them first."""

    row: Level
    column: Level
    keys: tuple[int, ...]

    @property
    def best(self) -> int | None:
        return self.keys[0] if self.keys else None

    @property
    def n(self) -> int:
        return len(self.keys)


@dataclass(frozen=True, slots=True)
class Matrix:
    """A range sheet without its pictures.

    cells : row by row, as many in each as there are columns
    left_out : levels of the rows and of the columns for which there was no room, with fewest results
    results : how many results stand in it
    """

    rows: tuple[Level, ...]
    columns: tuple[Level, ...]
    cells: tuple[tuple[Cell, ...], ...]
    left_out: tuple[Level, ...]
    results: int

    @property
    def empty_count(self) -> int:
        return sum(not cell.keys for row in self.cells for cell in row)


Seen = Mapping[Axis, Set[str]]


def levels_seen(found: Sequence[Fired], glaze: int) -> Seen:
    """The levels of each axis that occur among a glaze's fired results."""
    return {axis: {level for level in levels_on(axis, found, glaze) if level is not None} for axis in Axis}


def usual(seen: Seen) -> Asked:
    """Cones across; down the first that varies of bodies, coats, over and under; alone where it ever was."""
    rows = max((Axis.BODY, Axis.COATS, Axis.OVER, Axis.UNDER), key=lambda axis: min(len(seen[axis]), 2))
    # Nothing under and nothing over it, where such results are; all else is left open.
    held = {axis: NOTHING for axis in (Axis.OVER, Axis.UNDER) if axis is not rows and NOTHING in seen[axis]}
    return Asked(rows, Axis.CONE, held)


def laid_out(
    found: Sequence[Fired], glaze: int, asked: Asked, wanted: Mapping[Axis, Sequence[str]], names: Lookups
) -> Matrix:
    """The matrix of a glaze's results.

    found : its fired results
    wanted : levels that are shown although nothing stands there yet, such as the cones it is meant for
    """
    cells: dict[tuple[str, str], list[Fired]] = defaultdict(list)
    axes = (asked.rows, asked.columns, *asked.held)
    wanted_levels = tuple(asked.held.values())
    for one, (row, column, *held) in zip(
        found, zip(*(levels_on(axis, found, glaze) for axis in axes), strict=True), strict=True
    ):
        if row is not None and column is not None and tuple(held) == wanted_levels:
            cells[row, column].append(one)
    rows, rows_out = _levels(asked.rows, [row for row, _ in cells], cells, 0, wanted, names)
    columns, columns_out = _levels(asked.columns, [column for _, column in cells], cells, 1, wanted, names)
    laid = tuple(
        tuple(Cell(row, column, ordered(cells.get((row.value, column.value), ()))) for column in columns)
        for row in rows
    )
    results = sum(cell.n for line in laid for cell in line)
    return Matrix(tuple(rows), tuple(columns), laid, tuple(rows_out + columns_out), results)


def _levels(
    axis: Axis,
    seen: Sequence[str],
    cells: Mapping[tuple[str, str], Sequence[Fired]],
    side: int,
    wanted: Mapping[Axis, Sequence[str]],
    names: Lookups,
) -> tuple[list[Level], list[Level]]:
    """The levels there is room for, in their order, and those left out."""
    count: Counter[str] = Counter()
    for place, results in cells.items():
        count[place[side]] += len(results)
    levels = known(axis, [*seen, *wanted.get(axis, ())], names)
    kept = sorted(levels, key=lambda level: -count[level.value])[:MOST_LEVELS]
    return [one for one in levels if one in kept], [one for one in levels if one not in kept]


def ordered(cell: Sequence[Fired]) -> tuple[int, ...]:
    """The results of a cell, the best evidenced first.

    That is one which was judged and photographed; among these one of the conditions that were repeated most, since
    what came out alike several times says more than what came out once; among these the newest, and of one day what
    the tester would keep.
    """
    conditions = [_conditions(one) for one in cell]
    repeats = Counter(conditions)

    def worth(place: int) -> tuple[object, ...]:
        one = cell[place]
        shown, kept = one.seen.judged + one.ware.pictured, one.seen.verdict == Verdict.KEEP
        return shown, one.ware.pictured, repeats[conditions[place]], one.day, kept, one.key

    return tuple(cell[place].key for place in sorted(range(len(cell)), key=worth, reverse=True))


def _conditions(one: Fired) -> tuple[object, ...]:
    """What makes two results repeats of each other: stack, ware, cone, atmosphere and hold."""
    ware, heat = one.ware, one.heat
    return (one.stack.key, ware.body, ware.form, ware.textured, heat.reached, heat.atmosphere, heat.hold_min)


def crossed_besides(places: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """What crossing the rows and columns of some places gives besides these places.

    >>> crossed_besides([("white", "5"), ("dark", "6")])
    [('white', '6'), ('dark', '5')]
    """
    rows, columns = (dict.fromkeys(one[side] for one in places) for side in (0, 1))
    wanted = set(places)
    return [(row, column) for row in rows for column in columns if (row, column) not in wanted]
