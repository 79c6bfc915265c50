"""Results in the order of how many conditions stand between them and a question."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from tiles.ranges.axes import Axis, Fired, is_dip, level_on
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
    """Results that differ from the question in the same things, the best evidenced first."""

    changes: tuple[Change, ...]
    keys: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Found:
    """What answers a question exactly, and what comes nearest, fewest and smallest changes first."""

    exact: tuple[Fired, ...]
    exact_keys: tuple[int, ...]
    near: tuple[Near, ...]


def level_at(name: str, one: Fired, glaze: int) -> str:
    """What was fired, of a condition one may ask for; an empty word where it is not known."""
    if name == HOLD:
        return str(one.heat.hold_min)
    return level_on(Axis(name), one, glaze) or ""


def changes_from(one: Fired, glaze: int, asked: Mapping[str, str]) -> tuple[Change, ...]:
    """The conditions in which a result is not as asked."""
    levels = ((name, asked[name], level_at(name, one, glaze)) for name in ASKED if asked.get(name))
    return tuple(Change(name, wanted, found) for name, wanted, found in levels if wanted != found)


def nearest(found: Iterable[Fired], glaze: int, asked: Mapping[str, str]) -> Found:
    """Results of a glaze by how near they come to what is asked.

    asked : levels as they stand in an address, by the names of ASKED; what is not asked may be anything
    """
    groups: dict[tuple[Change, ...], list[Fired]] = defaultdict(list)
    for one in found:
        changes = changes_from(one, glaze, asked)
        if len(changes) <= MOST_CHANGES and all(change.found for change in changes):
            groups[changes].append(one)
    exact = groups.pop((), [])
    near = [Near(changes, ordered(group)) for changes, group in groups.items()]
    near.sort(key=lambda one: (len(one.changes), sum(change.step for change in one.changes), -len(one.keys)))
    single = [one for one in near if len(one.changes) == 1]
    kept = single if len(single) >= ENOUGH_NEAR else near
    return Found(tuple(exact), ordered(exact), tuple(kept))
