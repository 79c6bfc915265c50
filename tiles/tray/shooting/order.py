"""Which tile a photo without a code may show, by the order of shooting and the firing's list. Only ever a suggestion.

Tiles come out of the kiln in the order of the unload page, and most people photograph them in that order. So photos
that wait between two of known tiles may show the tiles that lie between those two on the list, provided there are as
many of the one as of the other.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from tiles import numbers


@dataclass(frozen=True, slots=True)
class Shot:
    """One photo of a burst: its key and the numbers of the tiles it is known to show; none while it waits."""

    photo: int
    tiles: tuple[int, ...] = ()

    @property
    def waits(self) -> bool:
        return not self.tiles


@dataclass(frozen=True, slots=True)
class Run:
    """Waiting photos that follow one another, and the tile each may show, in the same order.

    `tiles` is empty where nothing can be suggested; `words` say what the suggestion rests on, or why there is none.
    `after` and `before` are the numbers of the known tiles at its ends.
    """

    photos: tuple[int, ...]
    tiles: tuple[int, ...]
    words: str
    after: int | None = None
    before: int | None = None

    @property
    def pairs(self) -> list[tuple[int, int]]:
        """Each photo with the tile it may show."""
        return list(zip(self.photos, self.tiles, strict=True)) if self.tiles else []


def runs(shots: Sequence[Shot], listed: Sequence[int], pictured: Collection[int] = ()) -> list[Run]:
    """The runs of waiting photos in a burst, each with what the list suggests.

    Parameters
    ----------
    shots : the photos of one burst in the order they were taken
    listed : the numbers of the firing's tiles in the order they are unloaded
    pictured : tiles that have a photo already; none of them is suggested

    >>> known, waiting = Shot(1, (1042,)), Shot(2)
    >>> found = runs([known, waiting, Shot(3, (1044,))], [1042, 1043, 1044])
    >>> found[0].pairs, found[0].words
    ([(2, 1043)], 'between 1042-9 and 1044-1')
    """
    burst = _Burst(
        tuple(listed),
        {*pictured, *(tile for shot in shots for tile in shot.tiles)},
        _direction(shots, listed),
    )
    return list(burst.runs(shots))


def _direction(shots: Sequence[Shot], listed: Sequence[int]) -> int:
    """1 where the known photos go down the list or nothing is known, -1 where more steps go up it."""
    places = [
        listed.index(shot.tiles[0]) for shot in shots if len(shot.tiles) == 1 and shot.tiles[0] in listed
    ]
    steps = sum((later > earlier) - (later < earlier) for earlier, later in pairwise(places))
    return -1 if steps < 0 else 1


@dataclass(slots=True)
class _Burst:
    """A firing's list, the tiles on it that need no photo any more, and which way the list is gone through."""

    listed: tuple[int, ...]
    taken: set[int]
    direction: int

    def runs(self, shots: Sequence[Shot]) -> Iterator[Run]:
        grouped = [list(group) for _, group in groupby(shots, key=lambda shot: shot.waits)]
        for at, group in enumerate(grouped):
            if not group[0].waits:
                continue
            after = self._known(grouped[at - 1][-1]) if at else None
            before = self._known(grouped[at + 1][0]) if at + 1 < len(grouped) else None
            tiles, words = self._suggested(len(group), after, before)
            self.taken.update(tiles)
            yield Run(tuple(shot.photo for shot in group), tiles, words, after, before)

    def _known(self, shot: Shot) -> int | None:
        """The one tile of the list that a photo shows."""
        return shot.tiles[0] if len(shot.tiles) == 1 and shot.tiles[0] in self.listed else None

    def _suggested(self, count: int, after: int | None, before: int | None) -> tuple[tuple[int, ...], str]:
        if after is not None and before is not None:
            return self._between(count, after, before)
        if after is not None:
            return self._next_to(count, after, self.direction)
        if before is not None:
            tiles, words = self._next_to(count, before, -self.direction)
            return tiles[::-1], words
        return self._whole_list(count)

    def _between(self, count: int, after: int, before: int) -> tuple[tuple[int, ...], str]:
        words = f"between {numbers.write(after)} and {numbers.write(before)}"
        if after == before:
            return (after,) * count, f"between two photos of {numbers.write(after)}"
        start, stop = self.listed.index(after), self.listed.index(before)
        step = 1 if stop > start else -1
        there = self._free(self.listed[start + step : stop : step])
        if len(there) == count:
            return there, words
        return (), f"{_photos(count)} {words}, where the list has {_tiles(len(there))} without a photo"

    def _next_to(self, count: int, known: int, step: int) -> tuple[tuple[int, ...], str]:
        at = self.listed.index(known)
        onward = self.listed[at + 1 :] if step > 0 else self.listed[:at][::-1]
        there = self._free(onward)[:count]
        side = "after" if step * self.direction > 0 else "before"
        words = f"next on the list {side} {numbers.write(known)}"
        if len(there) == count:
            return there, words
        return (
            (),
            f"{_photos(count)} {side} {numbers.write(known)}, where the list has only {_tiles(len(there))} left",
        )

    def _whole_list(self, count: int) -> tuple[tuple[int, ...], str]:
        there = self._free(self.listed)
        if len(there) == count:
            return there, f"the list has {_tiles(count)} without a photo, and as many photos wait"
        if not self.listed:
            return (), "no firing is known to go by"
        return (
            (),
            f"{_photos(count)}, {_tiles(len(there))} without one on the list, and none of a known tile beside them",
        )

    def _free(self, tiles: Sequence[int]) -> tuple[int, ...]:
        return tuple(tile for tile in tiles if tile not in self.taken)


def _photos(count: int) -> str:
    return "one photo" if count == 1 else f"{count} photos"


def _tiles(count: int) -> str:
    return {0: "no tile", 1: "one tile"}.get(count, f"{count} tiles")
