"""How alike results of the same conditions are: repeatability."""

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean

from firings.estimate import Estimate
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


def pooled_spread(groups: Iterable[Sequence[float]], confidence: float = CONFIDENCE) -> Repeatability:
    """The standard deviation of repeats, pooled over groups of the same conditions, with a chi-square interval.

    Source: NIST/SEMATECH e-Handbook 2.4.4 (pooling level-1 standard deviations) and 7.2.3.1 (its interval); numbers of
    sections from memory, unverified.

    >>> found = pooled_spread([[62, 65, 60], [80, 84], [41, 44, 46, 45]])
    >>> round(found.spread.value, 4), found.degrees
    (2.4037, 6)
    """
    kept = [list(group) for group in groups if len(group) > 1]
    degrees = sum(len(group) - 1 for group in kept)
    if degrees < FEWEST_DEGREES:
        return Repeatability(None, degrees, len(kept))
    squares = sum((value - fmean(group)) ** 2 for group in kept for value in group)
    tail = (1 - confidence) / 2
    spread = Estimate.spanning(
        sqrt(squares / degrees),
        sqrt(squares / chi_square_quantile(1 - tail, degrees)),
        sqrt(squares / chi_square_quantile(tail, degrees)),
        n=sum(map(len, kept)),
        basis=f"pooled over {len(kept)} repeated conditions, chi-square interval 95 %",
    )
    return Repeatability(spread, degrees, len(kept))


def share_alike(groups: Iterable[Sequence[Hashable]]) -> Estimate | None:
    """Of the conditions that were repeated, the share whose repeats were all judged alike; None for too few."""
    kept = [set(group) for group in groups if len(group) > 1]
    if len(kept) < FEWEST_GROUPS:
        return None
    return wilson(sum(len(group) == 1 for group in kept), len(kept))
