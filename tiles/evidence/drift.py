"""Whether something creeps: a slope over time or from lot to lot that a few odd results cannot fake."""

from collections.abc import Sequence
from itertools import combinations
from math import sqrt
from statistics import NormalDist, median

from firings.estimate import Estimate
from tiles.evidence.proportions import CONFIDENCE

FEWEST_POINTS = 6


def creep(times: Sequence[float], values: Sequence[float], confidence: float = CONFIDENCE) -> Estimate | None:
    """The slope of values over times: the median of the slopes between all pairs of points (Theil 1950, Sen 1968).

    The interval is Sen's, from the spread of Kendall's statistic with ties counted. None for fewer than six points, or
    where all stand at one time.

    >>> round(creep([1, 2, 3, 4, 5, 6], [1.0, 2.1, 2.9, 4.2, 5.0, 30.0]).value, 4)
    1.0667
    """
    points = list(zip(times, values, strict=True))
    slopes = sorted((b[1] - a[1]) / (b[0] - a[0]) for a, b in combinations(points, 2) if a[0] != b[0])
    if len(points) < FEWEST_POINTS or not slopes:
        return None
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    half = z * sqrt(_kendall_variance(times, values))
    lowest = max(round((len(slopes) - half) / 2) - 1, 0)
    highest = min(round((len(slopes) + half) / 2), len(slopes) - 1)
    return Estimate.spanning(
        median(slopes),
        slopes[lowest],
        slopes[highest],
        n=len(points),
        basis="median of slopes, Sen's interval 95 %",
    )


def _kendall_variance(times: Sequence[float], values: Sequence[float]) -> float:
    """Sen's variance with ties taken off; where nearly all is tied the formula falls below nothing, and 0 stands."""
    n = len(times)
    ties = [*_runs(times), *_runs(values)]
    whole = n * (n - 1) * (2 * n + 5) - sum(k * (k - 1) * (2 * k + 5) for k in ties)
    return max(whole, 0) / 18


def _runs(values: Sequence[float]) -> list[int]:
    """How often each value stands that stands more than once."""
    counts = dict.fromkeys(values, 0)
    for value in values:
        counts[value] += 1
    return [count for count in counts.values() if count > 1]
