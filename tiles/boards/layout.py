"""Which tile hangs in which slot: one condition across, another down, the best tile of each pair of levels."""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from firings.vocabulary import Term

# A board wider or higher than this is several boards; the levels with fewest tiles are left out first.
MOST_LEVELS = 24
TOGETHER, ELSE = "+", "/"


class Axis(Term):
    """A condition of a tile's last firing that can stand across or down a board."""

    CONE = "cone", "cone"
    BODY = "body", "clay body"
    GLAZE = "glaze", "glazes"
    COATS = "coats", "coats"
    ATMOSPHERE = "atmosphere", "atmosphere"
    HOLD = "hold", "hold"
    FORM = "form", "tile form"


@dataclass(frozen=True, slots=True)
class Level:
    """One level of a condition: its value, its words, and its place among the others."""

    value: str
    words: str
    rank: tuple[float, str]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A tile that may hang.

    key, number : the tile's
    levels : where it stands on each condition; one that is not known is left out
    worth : what makes it the better one of two of the same conditions; larger is better
    """

    key: int
    number: int
    levels: Mapping[Axis, Level]
    worth: tuple[int, ...] = ()


Slot = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Laid:
    """A board as a rule lays it out. Rows and columns count from 1.

    hung : the tile's key for each slot that has one
    wanted : in words what each other slot asks for
    spare : tiles of conditions for which a better one hangs
    unknown : tiles of which a condition is not known
    left_out : levels for which there was no room
    """

    rows: tuple[Level, ...]
    columns: tuple[Level, ...]
    hung: Mapping[Slot, int]
    wanted: Mapping[Slot, str]
    spare: tuple[int, ...]
    unknown: tuple[int, ...]
    left_out: tuple[Level, ...]


def laid_out(candidates: Sequence[Candidate], across: Axis, down: Axis) -> Laid:
    """Tiles in rows and columns; the same tiles, in whatever order they come, always hang the same."""
    if across is down:
        raise ValueError("The same condition cannot stand across and down.")
    known = [one for one in candidates if across in one.levels and down in one.levels]
    columns, columns_out = _levels([one.levels[across] for one in known])
    rows, rows_out = _levels([one.levels[down] for one in known])
    at_column = {level.value: place for place, level in enumerate(columns, start=1)}
    at_row = {level.value: place for place, level in enumerate(rows, start=1)}
    by_slot: dict[Slot, list[Candidate]] = defaultdict(list)
    for one in known:
        row, column = at_row.get(one.levels[down].value), at_column.get(one.levels[across].value)
        if row is not None and column is not None:
            by_slot[row, column].append(one)
    ordered = {slot: sorted(found, key=_worth, reverse=True) for slot, found in by_slot.items()}
    wanted = {
        (row, column): f"{down_level.words}, {across_level.words}"
        for row, down_level in enumerate(rows, start=1)
        for column, across_level in enumerate(columns, start=1)
        if (row, column) not in ordered
    }
    spare = sorted(
        (one for found in ordered.values() for one in found[1:]), key=lambda one: (one.number, one.key)
    )
    unknown = sorted((one for one in candidates if one not in known), key=lambda one: (one.number, one.key))
    return Laid(
        rows,
        columns,
        {slot: found[0].key for slot, found in ordered.items()},
        wanted,
        tuple(one.key for one in spare),
        tuple(one.key for one in unknown),
        (*rows_out, *columns_out),
    )


def in_a_row(candidates: Sequence[Candidate], by: Axis, width: int) -> Laid:
    """Tiles one after another, row by row of that width, in the order of a condition and then of their numbers."""
    known = [one for one in candidates if by in one.levels]
    ordered = sorted(known, key=lambda one: (one.levels[by].rank, one.levels[by].value, one.number, one.key))
    room = width * MOST_LEVELS
    return Laid(
        (),
        (),
        {(1 + place // width, 1 + place % width): one.key for place, one in enumerate(ordered[:room])},
        {},
        tuple(one.key for one in ordered[room:]),
        tuple(sorted(one.key for one in candidates if by not in one.levels)),
        (),
    )


def _worth(one: Candidate) -> tuple[tuple[int, ...], int, int]:
    return one.worth, one.number, one.key


def _levels(seen: Sequence[Level]) -> tuple[tuple[Level, ...], tuple[Level, ...]]:
    """The levels there is room for, in their order, and those left out."""
    count = Counter(level.value for level in seen)
    levels = sorted(
        {level.value: level for level in seen}.values(), key=lambda level: (level.rank, level.value)
    )
    most = sorted(levels, key=lambda level: -count[level.value])[:MOST_LEVELS]
    kept = {level.value for level in most}
    return (
        tuple(level for level in levels if level.value in kept),
        tuple(level for level in levels if level.value not in kept),
    )


def planned(axis: Axis, value: str) -> list[tuple[str, str]]:
    """A level as the planner's address says it; nothing where one tile of one glaze cannot show it.

    >>> planned(Axis.GLAZE, "7+12")
    [('glaze', '12'), ('under', '7')]
    >>> planned(Axis.COATS, "1/2/3"), planned(Axis.CONE, "25")
    ([], [('cone', '25')])
    """
    if axis is Axis.GLAZE:
        first, *others = value.split(ELSE)
        *under, top = first.split(TOGETHER)
        if others or len(under) > 1 or not top:
            return []
        return [("glaze", top), *(("under", key) for key in under)]
    return [(axis.value, value)] if ELSE not in value else []
