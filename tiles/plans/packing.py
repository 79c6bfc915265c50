"""What fits on one tile goes on one tile: combinations that agree in all that belongs to the tile share its zones."""

from collections.abc import Callable, Hashable, Sequence
from typing import TypeVar

Combination = TypeVar("Combination")


def packed(
    combinations: Sequence[Combination],
    together: Callable[[Combination], Hashable],
    room: Callable[[Combination], int],
) -> list[tuple[Combination, ...]]:
    """Combinations on as few tiles as hold them, in the order given, none lost and none doubled.

    Parameters
    ----------
    together : what combinations on one tile must agree in
    room : how many zones the tile of a combination has for them; the same for all that go together

    Raises
    ------
    ValueError : a tile without room

    >>> packed(["a1", "b1", "a2", "a3"], lambda one: one[0], lambda one: 2)
    [('a1', 'a2'), ('a3',), ('b1',)]
    """
    groups: dict[Hashable, list[Combination]] = {}
    for one in combinations:
        groups.setdefault(together(one), []).append(one)
    return [tile for group in groups.values() for tile in _shared_out(group, room(group[0]))]


def _shared_out(group: Sequence[Combination], room: int) -> list[tuple[Combination, ...]]:
    """In tiles of nearly the same fill, so that no tile is left with a single band where others are full."""
    if room < 1:
        raise ValueError("a tile needs a zone for a combination")
    tiles = -(-len(group) // room)
    least, more = divmod(len(group), tiles)
    sizes = [least + 1] * more + [least] * (tiles - more)
    starts = [sum(sizes[:place]) for place in range(tiles)]
    return [tuple(group[start : start + size]) for start, size in zip(starts, sizes, strict=True)]
