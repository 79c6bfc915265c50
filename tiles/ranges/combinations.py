"""What a glaze has been over and under, cone by cone, and whether it stayed on the tile."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from firings.estimate import Estimate
from tiles.evidence.runs import Cell, chances
from tiles.ranges.axes import NOTHING, Axis, Fired, levels_on
from tiles.ranges.matrix import ordered


@dataclass(frozen=True, slots=True)
class Combination:
    """A glaze over or under another at one cone.

    axis : OVER where it lies over the other, UNDER where the other lies over it
    other : the other glaze, or several, as it stands in an address
    keys : all results, the best evidenced first
    ran_off, n : of so many judged tries on standing tiles, how many ran off the foot; one tile in one firing is a try
    chance : of running off, None below the bar
    """

    axis: Axis
    other: str
    cone: int
    keys: tuple[int, ...]
    ran_off: int
    n: int
    chance: Estimate | None

    @property
    def most_to_fear(self) -> float:
        """The upper end of what the chance may be; 1 where too little is known to say."""
        return self.chance.high if self.chance else 1.0


def combined(
    found: Sequence[Fired], glaze: int, standing_forms: frozenset[int], coats: str = ""
) -> list[Combination]:
    """All combinations of a glaze with others at each cone, the glaze alone left out.

    Alone it counts as kin all the same: chances lean on how the glaze runs by itself at each cone.

    found : the glaze's fired results
    standing_forms : forms of tile that are fired standing; on a flat one nothing can run off
    coats : of the glaze itself, as it stands in an address; all amounts where empty
    """
    groups: dict[tuple[Axis, str, int], list[Fired]] = defaultdict(list)
    laid = zip(*(levels_on(axis, found, glaze) for axis in (Axis.COATS, Axis.OVER, Axis.UNDER)), strict=True)
    for one, (amount, over, under) in zip(found, laid, strict=True):
        if one.heat.reached is None or (coats and amount != coats):
            continue
        for axis, other in places_of(over or NOTHING, under or NOTHING):
            groups[axis, other, one.heat.reached].append(one)
    counted = [tries_of(group, standing_forms) for group in groups.values()]
    return [
        Combination(axis, other, cone, ordered(group), cell.ran_off, cell.n, chance)
        for ((axis, other, cone), group), cell, chance in zip(
            groups.items(), counted, chances(counted), strict=True
        )
        if other != NOTHING
    ]


def places_of(over: str, under: str) -> list[tuple[Axis, str]]:
    """What a glaze lies over and under in a result; nothing, once, where it lies alone."""
    places = [(Axis.OVER, over), (Axis.UNDER, under)]
    return [place for place in places if place[1] != NOTHING] or places[:1]


def most_fired(combinations: Iterable[Combination], axis: Axis, most: int) -> list[str]:
    """The glazes with most results over or under, so many at most."""
    count: Counter[str] = Counter()
    for one in combinations:
        if one.axis is axis:
            count[one.other] += len(one.keys)
    return [other for other, _ in sorted(count.items(), key=lambda said: (-said[1], said[0]))[:most]]


def tries_of(group: Sequence[Fired], standing_forms: frozenset[int]) -> Cell:
    """Judged tries on standing tiles: zones alike on one tile in one firing are one try, which ran off if any did."""
    tries: dict[tuple[int, int], bool] = {}
    for one in group:
        if one.seen.judged and one.ware.form in standing_forms:
            key = one.number, one.heat.firing
            tries[key] = tries.get(key, False) or one.run.off
    return Cell(sum(tries.values()), len(tries))


def safest_first(combinations: Iterable[Combination], axis: Axis, cone: int) -> list[Combination]:
    """What goes over or under at a cone: what is surest to stay first, what nobody can say anything about last."""
    fitting = [one for one in combinations if one.axis is axis and one.cone == cone]
    return sorted(fitting, key=lambda one: (one.chance is None, one.most_to_fear, -one.n, one.other))
