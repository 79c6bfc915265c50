"""The chance that a stack runs off the tile, by stack, coats and cone, each cell leaning on the others.

A cell with two tiles says little by itself. The cells of one question (a glaze, or the studio) are taken to have
chances of their own that share one beta distribution, of which the data say how wide it is: the hierarchical model of
Gelman et al., Bayesian Data Analysis, 3rd ed., section 5.3 (beta-binomial, with density (a + b)^(-5/2) of its two
numbers; section from memory, unverified), here summed over a grid instead of sampled. A cell with many tiles speaks for
itself; one with few leans towards its kin.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from firings.estimate import Estimate
from tiles.evidence.proportions import CONFIDENCE

# The bar: fewer tiles of a cell, or in all, and no chance is written.
FEWEST_IN_CELL, FEWEST_IN_ALL = 3, 10
DRAWS = 8_000
# The grid: the shared mean, and how many tiles' worth the cells lean on it.
MEANS = np.linspace(0.004, 0.996, 63)
WEIGHTS = np.geomspace(0.5, 500.0, 41)

Grid = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Cell:
    """Tiles of one stack, amount and cone: how many, and how many of them ran off."""

    ran_off: int
    n: int


def _log_rising(start: Grid, steps: int) -> Grid:
    """The logarithm of start (start + 1) … over so many steps."""
    return np.log(np.add.outer(start, np.arange(steps))).sum(axis=1)


def shared(cells: Sequence[Cell]) -> tuple[Grid, Grid, Grid]:
    """The grid of beta distributions the cells may share, as a and b, with how likely each is."""
    mean, weight = (one.ravel() for one in np.meshgrid(MEANS, WEIGHTS))
    a, b = mean * weight, (1 - mean) * weight
    # Density (a + b)^(-5/2) in a and b is weight^(-3/2) in mean and weight; the grid is even in log weight.
    log_likely = -0.5 * np.log(weight)
    counts: dict[Cell, int] = {}
    for cell in cells:
        counts[cell] = counts.get(cell, 0) + 1
    for cell, times in counts.items():
        seen = _log_rising(a, cell.ran_off) + _log_rising(b, cell.n - cell.ran_off)
        log_likely += times * (seen - _log_rising(weight, cell.n))
    likely = np.exp(log_likely - log_likely.max())
    return a, b, likely / likely.sum()


def chances(cells: Sequence[Cell], confidence: float = CONFIDENCE, *, seed: int = 1) -> list[Estimate | None]:
    """For each cell the chance of running off; None below the bar. The same cells give the same figures.

    Raises ValueError where more ran off than there were.
    """
    if any(not 0 <= cell.ran_off <= cell.n for cell in cells):
        raise ValueError("more tiles ran off than there were")
    if sum(cell.n for cell in cells) < FEWEST_IN_ALL:
        return [None] * len(cells)
    a, b, likely = shared(cells)
    dice = np.random.default_rng(seed)
    drawn = dice.choice(a.size, DRAWS, p=likely)
    # Cells alike are drawn once, so that they say the same.
    drawn_for = {
        cell: _chance(
            cell,
            a,
            b,
            likely,
            dice.beta(a[drawn] + cell.ran_off, b[drawn] + cell.n - cell.ran_off),
            confidence,
        )
        for cell in dict.fromkeys(cells)
        if cell.n >= FEWEST_IN_CELL
    }
    return [drawn_for.get(cell) for cell in cells]


def _chance(cell: Cell, a: Grid, b: Grid, likely: Grid, draws: Grid, confidence: float) -> Estimate:
    mean = float(np.sum(likely * (a + cell.ran_off) / (a + b + cell.n)))
    tail = (1 - confidence) / 2
    low, high = np.quantile(draws, [tail, 1 - tail])
    basis = "leans on its kin (beta-binomial), interval 95 %"
    return Estimate.spanning(mean, float(low), float(high), n=cell.n, basis=basis)
