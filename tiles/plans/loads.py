"""Which firings a plan takes and where its tiles stand.

One firing for each cone, atmosphere and hold, more where a load does not fit in the kiln; the levels of everything else
are spread over its shelves.
"""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass

from tiles.plans.spread import random_order, shares, spread

# Common practice, no source: pieces stand a finger's breadth apart, so that no glaze reaches a neighbour.
GAP_MM = 10
FIRE = ("cone", "atmosphere", "hold")


@dataclass(frozen=True, slots=True)
class ShelfRoom:
    """A shelf of the kiln: its place counted from the bottom, and how much of it there is."""

    position: int
    width_mm: float
    depth_mm: float

    @property
    def area_cm2(self) -> float:
        return self.width_mm * self.depth_mm / 100

    def holds(self, width_mm: float, depth_mm: float) -> int:
        """How many tiles of that footprint stand on it in straight rows, lengthwise or crosswise.

        >>> ShelfRoom(1, 400, 400).holds(60, 30)
        50
        """
        return max(self._rows(width_mm, depth_mm), self._rows(depth_mm, width_mm))

    def _rows(self, across_mm: float, down_mm: float) -> int:
        return int((self.width_mm + GAP_MM) // (across_mm + GAP_MM)) * int(
            (self.depth_mm + GAP_MM) // (down_mm + GAP_MM)
        )


@dataclass(frozen=True, slots=True)
class Stand:
    """Where a tile goes: which firing of the plan, counted from 1, and the shelf, None where no kiln was chosen."""

    firing: int
    shelf: int | None


@dataclass(frozen=True, slots=True)
class Loads:
    """The firings of a plan, `fires` saying what each is, and where each tile stands; `order` is that of the making."""

    fires: tuple[Mapping[str, str], ...]
    stands: tuple[Stand, ...]
    order: tuple[int, ...]


def loads(
    tiles: Sequence[Mapping[str, str]],
    footprints: Sequence[tuple[float, float]],
    shelves: Sequence[ShelfRoom],
    seed: int,
) -> Loads:
    """Tiles to firings and shelves, and the random order they are made in.

    Parameters
    ----------
    tiles : the levels of each tile, one that stands for all its bands
    footprints : width and depth each takes on a shelf [mm]
    shelves : of the kiln that fires them; none where that is left open
    """
    groups: dict[tuple[str, ...], list[int]] = {}
    for place, tile in enumerate(tiles):
        groups.setdefault(tuple(tile.get(name, "") for name in FIRE), []).append(place)
    fires: list[Mapping[str, str]] = []
    stands = [Stand(0, None)] * len(tiles)
    for fire, group in sorted(groups.items(), key=lambda one: _rising(one[0])):
        rooms = _rooms([footprints[place] for place in group], shelves)
        first, count = len(fires), _firings_for(len(group), rooms)
        fires += [dict(zip(FIRE, fire, strict=True))] * count
        for place, block in zip(group, _blocks(tiles, group, rooms, count, seed), strict=True):
            shelf = shelves[block % len(rooms)].position if rooms else None
            stands[place] = Stand(first + 1 + block // max(len(rooms), 1), shelf)
    return Loads(tuple(fires), tuple(stands), tuple(random_order(range(len(tiles)), seed)))


def _rising(fire: Sequence[str]) -> tuple[tuple[float, str], ...]:
    return tuple((float(level) if level.isdecimal() else -1.0, level) for level in fire)


def _rooms(footprints: Sequence[tuple[float, float]], shelves: Sequence[ShelfRoom]) -> list[int]:
    """How many of the largest of these tiles each shelf holds; nothing where no shelf holds any."""
    width_mm = max(width for width, _ in footprints)
    depth_mm = max(depth for _, depth in footprints)
    rooms = [shelf.holds(width_mm, depth_mm) for shelf in shelves]
    return rooms if sum(rooms) else []


def _firings_for(tiles: int, rooms: Sequence[int]) -> int:
    return -(-tiles // sum(rooms)) if rooms else 1


def _blocks(
    tiles: Sequence[Mapping[str, str]], group: Sequence[int], rooms: Sequence[int], firings: int, seed: int
) -> list[int]:
    if not rooms:
        return [0] * len(group)
    sizes = shares(len(group), [*rooms] * firings)
    return spread([_levels(tiles[place]) for place in group], sizes, seed)


def _levels(tile: Mapping[str, str]) -> list[Hashable]:
    """What is to be told apart within a firing."""
    return [level for name, level in tile.items() if name not in FIRE]
