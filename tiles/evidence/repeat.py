"""How alike results of the same conditions are: repeatability."""

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike

from firings.estimate import Estimate
from tiles.evidence.arrays import numbered
from tiles.evidence.distributions import chi_square_quantile
from tiles.evidence.proportions import CONFIDENCE, wilson

# Two results of the same conditions differ by more than this many s_r in about one case in twenty: 1.96 times the
# root of 2, as ISO 5725-6 rounds it (from memory, unverified).
LIMIT = 2.8
# The bar: with fewer degrees of freedom the interval of a standard deviation reaches beyond a factor of two and a half.
FEWEST_DEGREES = 5
FEWEST_GROUPS = 5


@dataclass(frozen=True, slots=True)
class Repeatability:
    """The spread of repeats, `spread` being the standard deviation s_r; None for too few to say."""

    spread: Estimate | None
    degrees: int
    groups: int

    @property
    def limit(self) -> float | None:
        """Two results of the same conditions seldom differ by more."""
        return LIMIT * self.spread.value if self.spread else None


def pooled_spread(figures: ArrayLike, groups: ArrayLike, confidence: float = CONFIDENCE) -> Repeatability:
    """The standard deviation of repeats, pooled over groups of the same conditions, with a chi-square interval.

    Source: NIST/SEMATECH e-Handbook 2.4.4 (pooling level-1 standard deviations) and 7.2.3.1 (its interval); numbers of
    sections from memory, unverified.

    groups : of which group each figure is; groups of one say nothing

    >>> found = pooled_spread([62, 65, 60, 80, 84, 41, 44, 46, 45], [0, 0, 0, 1, 1, 2, 2, 2, 2])
    >>> round(found.spread.value, 4), found.degrees
    (2.4037, 6)
    """
    values = np.asarray(figures, dtype=float)
    names, of = numbered(np.asarray(groups, dtype=np.int64))
    counts = np.bincount(of, minlength=len(names))
    means = np.bincount(of, weights=values, minlength=len(names)) / np.maximum(counts, 1)
    is_told = counts > 1
    degrees, kept = int((counts[is_told] - 1).sum()), int(is_told.sum())
    if degrees < FEWEST_DEGREES:
        return Repeatability(None, degrees, kept)
    squares = float(((values - means[of])[is_told[of]] ** 2).sum())
    tail = (1 - confidence) / 2
    spread = Estimate.spanning(
        sqrt(squares / degrees),
        sqrt(squares / chi_square_quantile(1 - tail, degrees)),
        sqrt(squares / chi_square_quantile(tail, degrees)),
        n=int(counts[is_told].sum()),
        basis=f"pooled over {kept} repeated conditions, chi-square interval 95 %",
    )
    return Repeatability(spread, degrees, kept)


def share_alike(judged: ArrayLike, groups: ArrayLike) -> Estimate | None:
    """Of the conditions that were repeated, the share whose repeats were all judged alike; None for too few.

    groups : of which group each is; groups of one say nothing
    """
    _, value = numbered(np.asarray(judged))
    names, of = numbered(np.asarray(groups, dtype=np.int64))
    is_told = np.bincount(of, minlength=len(names)) > 1
    if is_told.sum() < FEWEST_GROUPS:
        return None
    of_first = np.zeros(len(names), np.int64)
    of_first[of] = value
    differs = np.zeros(len(names), bool)
    differs[of[value != of_first[of]]] = True
    return wilson(int((is_told & ~differs).sum()), int(is_told.sum()))
