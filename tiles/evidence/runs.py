"""The chance that a stack runs off the tile, by stack, coats and cone, each cell leaning on the others.

A cell with two tiles says little by itself. The cells of one question (a glaze, or the studio) are taken to have
chances of their own that share one beta distribution, of which the data say how wide it is: the hierarchical model of
Gelman et al., Bayesian Data Analysis, 3rd ed., section 5.3 (beta-binomial, with density (a + b)^(-5/2) of its two
numbers; section from memory, unverified), here summed over a grid instead of sampled. A cell with many tiles speaks for
itself; one with few leans towards its kin.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from firings.estimate import Estimate
from tiles.evidence.proportions import CONFIDENCE

# The bar: fewer tiles of a cell, or in all, and no chance is written.
FEWEST_IN_CELL, FEWEST_IN_ALL = 3, 10
DRAWS = 8_000
# So many factors of the likelihood are laid out at once.
AT_ONCE = 512
# The grid: the shared mean, and how many tiles' worth the cells lean on it.
MEANS = np.linspace(0.004, 0.996, 63)
WEIGHTS = np.geomspace(0.5, 500.0, 41)

Grid = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Cell:
    """Tiles of one stack, amount and cone: how many, and how many of them ran off."""

    ran_off: int
    n: int


def _log_rising(start: Grid, steps: NDArray[np.int64]) -> Grid:
    """The logarithm of start (start + 1) … over each of so many steps, added up over all of them.

    A factor start + j stands in every product of more than j steps, so it is taken as often as there are such.
    """
    total = np.zeros_like(start)
    times = np.cumsum(np.bincount(steps)[::-1])[::-1][1:]
    for first in range(0, len(times), AT_ONCE):
        some = times[first : first + AT_ONCE]
        total += np.log(np.add.outer(start, np.arange(first, first + len(some)))) @ some
    return total


def shared(cells: Sequence[Cell]) -> tuple[Grid, Grid, Grid]:
    """The grid of beta distributions the cells may share, as a and b, with how likely each is."""
    mean, weight = (one.ravel() for one in np.meshgrid(MEANS, WEIGHTS))
    a, b = mean * weight, (1 - mean) * weight
    ran_off, n = (
        np.array(one, np.int64) for one in ([cell.ran_off for cell in cells], [cell.n for cell in cells])
    )
    # Density (a + b)^(-5/2) in a and b is weight^(-3/2) in mean and weight; the grid is even in log weight.
    log_likely = -0.5 * np.log(weight)
    if len(cells):
        log_likely += _log_rising(a, ran_off) + _log_rising(b, n - ran_off)
        log_likely -= np.repeat(_log_rising(WEIGHTS, n), len(MEANS))
    likely = np.exp(log_likely - log_likely.max())
    return a, b, likely / likely.sum()


@dataclass(frozen=True)
class Kin:
    """What the cells of one question share; chances are worked out from it as they are asked for."""

    a: Grid
    b: Grid
    likely: Grid
    n: int
    _drawn: dict[tuple[Cell, float], Estimate] = field(default_factory=dict, repr=False, compare=False)

    @classmethod
    def of(cls, cells: Sequence[Cell]) -> "Kin":
        """Raises ValueError where more ran off than there were."""
        if any(not 0 <= cell.ran_off <= cell.n for cell in cells):
            raise ValueError("more tiles ran off than there were")
        return cls(*shared(cells), sum(cell.n for cell in cells))

    def says(self, cell: Cell) -> bool:
        """Whether there are tiles enough of a cell, and in all."""
        return self.n >= FEWEST_IN_ALL and cell.n >= FEWEST_IN_CELL

    def means(self, cells: Iterable[Cell]) -> dict[Cell, float]:
        """For each distinct cell its chance alone, without an interval, which is soon had."""
        distinct = list(dict.fromkeys(cells))
        ran_off, n = (
            np.array(one, float) for one in ([one.ran_off for one in distinct], [one.n for one in distinct])
        )
        found = [
            self.likely @ (np.add.outer(self.a, ran_off[some]) / np.add.outer(self.a + self.b, n[some]))
            for some in (slice(first, first + AT_ONCE) for first in range(0, len(distinct), AT_ONCE))
        ]
        return dict(zip(distinct, np.concatenate([*found, np.zeros(0)]).tolist(), strict=True))

    def chance(self, cell: Cell, confidence: float = CONFIDENCE) -> Estimate | None:
        """The chance of running off; None below the bar. Of cells alike it is drawn once, so that they say the same."""
        if not self.says(cell):
            return None
        if (cell, confidence) not in self._drawn:
            self._drawn[cell, confidence] = self._chance(cell, confidence)
        return self._drawn[cell, confidence]

    def _chance(self, cell: Cell, confidence: float) -> Estimate:
        dice = np.random.default_rng((1, cell.ran_off, cell.n))
        drawn = dice.choice(self.a.size, DRAWS, p=self.likely)
        draws = dice.beta(self.a[drawn] + cell.ran_off, self.b[drawn] + cell.n - cell.ran_off)
        mean = float(np.sum(self.likely * (self.a + cell.ran_off) / (self.a + self.b + cell.n)))
        tail = (1 - confidence) / 2
        low, high = np.quantile(draws, [tail, 1 - tail])
        basis = "leans on its kin (beta-binomial), interval 95 %"
        return Estimate.spanning(mean, float(low), float(high), n=cell.n, basis=basis)


def chances(cells: Sequence[Cell], confidence: float = CONFIDENCE) -> list[Estimate | None]:
    """For each cell the chance of running off; None below the bar. The same cells give the same figures.

    Raises ValueError where more ran off than there were.
    """
    kin = Kin.of(cells)
    return [kin.chance(cell, confidence) for cell in cells]
