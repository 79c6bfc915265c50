"""Random order, and tiles so spread over shelves and firings that a hot shelf does not pose as an effect.

"Block what you can, randomize what you cannot": a shelf, and a firing where a load does not fit in one, is a block;
the levels of what is tested are spread over the blocks as evenly as they go, and chance decides the rest (randomised
block designs: NIST/SEMATECH e-Handbook of Statistical Methods, section 5.3.3.2). What cannot be moved about within one
firing, such as its cone, is no matter of blocks: only a second firing tells it from the luck of that one (split plots:
section 5.5.5). The same seed always gives the same order. Section numbers from memory, unverified.
"""

from collections.abc import Hashable, Sequence
from random import Random
from typing import TypeVar

Thing = TypeVar("Thing")

# Swaps tried for each tile; a load of two hundred settles in well under a second.
SWAPS_EACH = 30


def random_order(things: Sequence[Thing], seed: int) -> list[Thing]:
    """The same things in an order that chance gives, the same for the same seed.

    >>> sorted(random_order([1, 2, 3], 7))
    [1, 2, 3]
    """
    shuffled = list(things)
    Random(seed).shuffle(shuffled)  # nosec B311
    return shuffled


def shares(count: int, rooms: Sequence[float]) -> list[int]:
    """How many of `count` go into each block, by the room each has; the largest remainders are rounded up.

    >>> shares(10, [2, 1, 1])
    [5, 3, 2]
    """
    whole = sum(rooms)
    exact = [count * room / whole for room in rooms]
    parts = [int(one) for one in exact]
    by_remainder = sorted(range(len(rooms)), key=lambda place: (parts[place] - exact[place], place))
    for place in by_remainder[: count - sum(parts)]:
        parts[place] += 1
    return parts


def spread(levels: Sequence[Sequence[Hashable]], sizes: Sequence[int], seed: int) -> list[int]:
    """The block of each tile: every level of every factor as evenly over the blocks as it goes.

    Parameters
    ----------
    levels : for each tile one level of each factor
    sizes : how many tiles each block takes; together as many as there are tiles
    seed : of the dice

    Raises
    ------
    ValueError : the blocks take more or fewer than there are tiles

    >>> sorted(spread([("a",), ("a",), ("b",), ("b",)], [2, 2], 1)[:2])
    [0, 1]
    """
    if sum(sizes) != len(levels):
        raise ValueError("the blocks must take as many tiles as there are")
    dice = Random(seed)  # nosec B311
    dealing = _Dealing(levels, sizes)
    order = list(range(len(levels)))
    dice.shuffle(order)
    for tile in order:
        dealing.deal(tile, dice)
    dealing.settle(dice)
    return dealing.block_of


class _Dealing:
    """Tiles dealt to blocks. `counts[block][factor, level]` is how many of a level lie there."""

    def __init__(self, levels: Sequence[Sequence[Hashable]], sizes: Sequence[int]) -> None:
        self.marks = [list(enumerate(one)) for one in levels]
        self.sizes, self.left = list(sizes), list(sizes)
        self.block_of = [-1] * len(levels)
        self.counts: list[dict[tuple[int, Hashable], int]] = [{} for _ in sizes]
        self.totals: dict[tuple[int, Hashable], int] = {}
        for marks in self.marks:
            for mark in marks:
                self.totals[mark] = self.totals.get(mark, 0) + 1

    def _excess(self, block: int, mark: tuple[int, Hashable]) -> float:
        """How many more of a level a block has than its even share."""
        share = self.totals[mark] * self.sizes[block] / len(self.block_of)
        return self.counts[block].get(mark, 0) - share

    def deal(self, tile: int, dice: Random) -> None:
        """Put a tile where its levels are the scarcest; where that is even, chance decides."""
        open_blocks = [block for block, left in enumerate(self.left) if left]
        dice.shuffle(open_blocks)
        best = min(open_blocks, key=lambda block: sum(self._excess(block, mark) for mark in self.marks[tile]))
        self._put(tile, best)

    def _put(self, tile: int, block: int) -> None:
        self.block_of[tile] = block
        self.left[block] -= 1
        for mark in self.marks[tile]:
            self.counts[block][mark] = self.counts[block].get(mark, 0) + 1

    def _take(self, tile: int) -> int:
        block, self.block_of[tile] = self.block_of[tile], -1
        self.left[block] += 1
        for mark in self.marks[tile]:
            self.counts[block][mark] -= 1
        return block

    def settle(self, dice: Random) -> None:
        """Swap tiles of different blocks while that makes the spread more even."""
        tiles = len(self.block_of)
        for _ in range(SWAPS_EACH * tiles):
            one, other = dice.randrange(tiles), dice.randrange(tiles)
            if self.block_of[one] != self.block_of[other] and self._gain(one, other) > 0:
                here, there = self._take(one), self._take(other)
                self._put(one, there)
                self._put(other, here)

    def _gain(self, one: int, other: int) -> float:
        """By how much a swap lowers the sum of squared excesses."""
        here, there = self.block_of[one], self.block_of[other]
        gain = 0.0
        for mine, theirs in zip(self.marks[one], self.marks[other], strict=True):
            if mine != theirs:
                gain += self._excess(here, mine) - self._excess(there, mine)
                gain += self._excess(there, theirs) - self._excess(here, theirs) - 2
        return gain
