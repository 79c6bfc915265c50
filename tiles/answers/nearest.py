"""Results in the order of how many conditions stand between them and a question."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import repeat

from tiles.conditions.stack import is_dip
from tiles.ranges.axes import Axis, Fired, levels_on
from tiles.ranges.matrix import ordered

HOLD = "hold"
# What may be asked, in the order a tester asks.
ASKED = (
    *(axis.value for axis in (Axis.CONE, Axis.COATS, Axis.BODY, Axis.ATMOSPHERE, Axis.OVER, Axis.UNDER)),
    HOLD,
)
MOST_CHANGES = 2
# With so many different single changes found, results two changes off say nothing more.
ENOUGH_NEAR = 4


@dataclass(frozen=True, slots=True)
class Change:
    """One condition that is not as asked: its name, what was asked, and what was fired."""

    name: str
    asked: str
    found: str

    @property
    def step(self) -> int:
        """How far off it is: cones and coats by their distance, all else one."""
        if self.name in (Axis.CONE, Axis.COATS) and not (is_dip(self.asked) or is_dip(self.found)):
            return abs(int(self.asked) - int(self.found))
        return 1


@dataclass(frozen=True, slots=True)
class Near:
    """Results that differ from the question in the same things."""

    changes: tuple[Change, ...]
    results: Sequence[Fired]
    is_judged: bool

    @property
    def n(self) -> int:
        return len(self.results)

    @property
    def keys(self) -> tuple[int, ...]:
        """The keys of the results, the best evidenced first; ordered when asked for, as few of the many are shown."""
        return ordered(self.results)


@dataclass(frozen=True, slots=True)
class Found:
    """What answers a question exactly, and what comes nearest: fewest changes first, judged ones, smallest changes.

    meant : of the results nearest, how many were meant for the cone asked for, reached another, and are else as asked
    """

    exact: tuple[Fired, ...]
    exact_keys: tuple[int, ...]
    near: tuple[Near, ...]
    meant: int


def levels_at(name: str, found: Sequence[Fired], glaze: int) -> list[str]:
    """What was fired, of a condition one may ask for; an empty word where it is not known."""
    if name == HOLD:
        return [str(one.heat.hold_min) for one in found]
    return [level or "" for level in levels_on(Axis(name), found, glaze)]


def grouped(names: Sequence[str], found: Sequence[Fired], glaze: int) -> dict[tuple[str, ...], list[Fired]]:
    """Results by what they were in these conditions."""
    groups: dict[tuple[str, ...], list[Fired]] = defaultdict(list)
    columns = [levels_at(name, found, glaze) for name in names]
    for one, levels in zip(found, zip(*columns, strict=True) if columns else repeat(()), strict=False):
        groups[levels].append(one)
    return groups


def nearest(found: Sequence[Fired], glaze: int, asked: Mapping[str, str]) -> Found:
    """Results of a glaze by how near they come to what is asked.

    asked : levels as they stand in an address, by the names of ASKED; what is not asked may be anything
    """
    names = [name for name in ASKED if asked.get(name)]
    groups: dict[tuple[Change, ...], list[Fired]] = {}
    for levels, group in grouped(names, found, glaze).items():
        changes = tuple(
            Change(name, asked[name], level)
            for name, level in zip(names, levels, strict=True)
            if level != asked[name]
        )
        if len(changes) <= MOST_CHANGES and all(change.found for change in changes):
            groups[changes] = group
    exact = groups.pop((), [])
    near = [
        Near(changes, group, is_judged=any(one.seen.judged for one in group))
        for changes, group in groups.items()
    ]
    near.sort(
        key=lambda one: (
            len(one.changes),
            not one.is_judged,
            sum(change.step for change in one.changes),
            -one.n,
        )
    )
    single = [one for one in near if len(one.changes) == 1]
    kept = single if sum(one.is_judged for one in single) >= ENOUGH_NEAR else near
    missed = [group for changes, group in groups.items() if [one.name for one in changes] == [Axis.CONE]]
    meant = sum(str(one.heat.target) == asked[Axis.CONE] for group in missed for one in group)
    return Found(tuple(exact), ordered(exact), tuple(kept), meant)
