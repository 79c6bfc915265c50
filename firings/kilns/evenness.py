"""How evenly a kiln fires: each shelf against its firings' means, by witness cones."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean

from firings.estimate import Estimate
from firings.kilns.interval import ENOUGH, mean_95

BASIS = "Student’s 95 % interval of the mean over firings"
NOT_ENOUGH = f"not enough to say: fewer than {ENOUGH} firings"


@dataclass(frozen=True, slots=True)
class ShelfLean:
    """How a shelf differs from the firing's mean [cones]; `difference` is None while there is not enough to say."""

    position: int
    n: int
    difference: Estimate | None

    @property
    def words(self) -> str:
        return difference_words(self.difference) if self.difference else NOT_ENOUGH

    @property
    def stands(self) -> bool:
        """Whether the shelf differs for sure: nothing is not within its interval."""
        return self.difference is not None and self.difference.low * self.difference.high > 0


@dataclass(frozen=True, slots=True)
class Evenness:
    """The shelves, top first, and top against bottom [cones]; `firings` counts those read on two shelves or more."""

    firings: int
    shelves: tuple[ShelfLean, ...]
    top: int
    bottom: int
    top_to_bottom: Estimate | None

    @property
    def words(self) -> str:
        """The kiln in one sentence."""
        found = self.top_to_bottom
        if found is None:
            return f"Top to bottom: {NOT_ENOUGH} read on both."
        leads = "hotter" if found.value > 0 else "cooler"
        sure = (
            "" if found.low * found.high > 0 else " It may as well be even: nothing lies within the interval."
        )
        return (
            f"The top shelf fires {abs(found.value):.1f} cone {leads} than the lowest one read "
            f"({_signed(found.low)} to {_signed(found.high)}, n {found.n}).{sure}"
        )


def difference_words(found: Estimate) -> str:
    """A difference with its interval.

    >>> difference_words(Estimate(0.31, 0.1, 0.52, 7, ""))
    '+0.3 cone (+0.1 to +0.5)'
    """
    return f"{_signed(found.value)} cone ({_signed(found.low)} to {_signed(found.high)})"


def _signed(value: float) -> str:
    return f"{value:+.1f}".replace("-", "−")


def evenness(firings: Sequence[Mapping[int, float]]) -> Evenness | None:
    """Shelf differences from witness history; None where no firing was read on two shelves.

    Parameters
    ----------
    firings : for each firing, shelf position to the decimal cone its witness cones say there

    Only firings read on two shelves or more count: each shelf is compared within its own firing, so that a firing
    meant to be cooler does not make its shelves so.

    >>> found = evenness([{1: 5.5, 2: 6.0, 3: 6.5}] * 4 + [{1: 5.6, 2: 6.0, 3: 6.4}])
    >>> [(shelf.position, shelf.words) for shelf in found.shelves][0]
    (3, '+0.5 cone (+0.4 to +0.5)')
    """
    compared = [firing for firing in firings if len(firing) > 1]
    if not compared:
        return None
    positions = sorted({position for firing in compared for position in firing}, reverse=True)
    top, bottom = positions[0], positions[-1]
    both = [firing[top] - firing[bottom] for firing in compared if top in firing and bottom in firing]
    shelves = tuple(_lean(position, compared) for position in positions)
    return Evenness(len(compared), shelves, top, bottom, mean_95(both, BASIS))


def _lean(position: int, firings: Sequence[Mapping[int, float]]) -> ShelfLean:
    away = [firing[position] - fmean(firing.values()) for firing in firings if position in firing]
    return ShelfLean(position, len(away), mean_95(away, BASIS))
