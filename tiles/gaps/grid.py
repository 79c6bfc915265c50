"""What of cones, bodies and coats has been fired of one glaze alone, and what is missing."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import product

from tiles.plans.gaps import Shown, shown_by

# A place in the standard: cone's rank, body's key, coats.
Place = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class Wanted:
    """The levels a standard asks for."""

    cones: tuple[int, ...]
    bodies: tuple[int, ...]
    coats: tuple[int, ...]

    def places(self) -> list[Place]:
        """Every combination of them."""
        return list(product(self.cones, self.bodies, self.coats))


@dataclass(frozen=True, slots=True)
class Grid:
    """How often each place of a standard was fired of a glaze.

    pairs : of every two levels of different conditions, how many were fired together
    """

    wanted: Wanted
    counts: Mapping[Place, int]
    pairs: Shown

    @property
    def asked(self) -> int:
        return len(self.wanted.places())

    @property
    def missing(self) -> list[Place]:
        return [place for place in self.wanted.places() if not self.counts.get(place)]

    @property
    def fired(self) -> int:
        return self.asked - len(self.missing)


def grid_of(wanted: Wanted, counts: Mapping[Place, int]) -> Grid:
    """A glaze against a standard.

    counts : how many results there are of the glaze alone, at any cone, on any body, in any number of coats
    """
    levels = (wanted.cones, wanted.bodies, wanted.coats)
    found = {place: counts[place] for place in wanted.places() if counts.get(place)}
    rows = [tuple(level.index(value) for level, value in zip(levels, place, strict=True)) for place in found]
    return Grid(wanted, found, shown_by(rows, tuple(map(len, levels))))
