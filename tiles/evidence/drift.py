"""Whether something creeps: a slope over time that a few odd results cannot fake, all else equal."""

from math import sqrt
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike, NDArray

from firings.estimate import Estimate
from tiles.columns.coded import Numbers
from tiles.evidence.arrays import numbered, pairs_within, starts_of
from tiles.evidence.proportions import CONFIDENCE

FEWEST_POINTS = 6
# Of one group, more points than these are thinned evenly over time: its pairs grow with the square.
MOST_OF_A_GROUP = 1_500


def creep(
    times: ArrayLike, values: ArrayLike, groups: ArrayLike | None = None, confidence: float = CONFIDENCE
) -> Estimate | None:
    """The slope of values over times: the median of the slopes between all pairs of points (Theil 1950, Sen 1968).

    The interval is Sen's, from the spread of Kendall's statistic with ties counted. Of several groups only pairs within
    one are taken, and the groups' spreads are added up, as Hirsch, Slack and Smith (1982) do for seasons (from memory,
    unverified). None for fewer than six points that make a pair, or where all stand at one time.

    groups : of which group each point is; all of one where left out

    >>> round(creep([1, 2, 3, 4, 5, 6], [1.0, 2.1, 2.9, 4.2, 5.0, 30.0]).value, 4)
    1.0667
    """
    when, what = np.asarray(times, dtype=float), np.asarray(values, dtype=float)
    of = np.zeros(when.size, np.int64) if groups is None else np.asarray(groups, dtype=np.int64)
    order = _thinned(np.lexsort((when, of)), of)
    when, what, of = when[order], what[order], of[order]
    first, second = pairs_within(of)
    apart = when[second] != when[first]
    first, second = first[apart], second[apart]
    told = np.zeros(int(of.max(initial=-1)) + 1, bool)
    told[of[first]] = True
    counts = told[of] if len(of) else np.zeros(0, bool)
    if counts.sum() < FEWEST_POINTS:
        return None
    slopes = np.sort((what[second] - what[first]) / (when[second] - when[first]))
    half = NormalDist().inv_cdf((1 + confidence) / 2) * sqrt(
        _kendall_variance(when[counts], what[counts], of[counts])
    )
    lowest = max(round((len(slopes) - half) / 2) - 1, 0)
    highest = min(round((len(slopes) + half) / 2), len(slopes) - 1)
    return Estimate.spanning(
        float(np.median(slopes)),
        float(slopes[lowest]),
        float(slopes[highest]),
        n=int(counts.sum()),
        basis="median of slopes, Sen’s interval 95 %",
    )


def _thinned(order: Numbers, of: Numbers) -> Numbers:
    """Points in the order of their groups and times; of very large groups evenly spread ones."""
    starts = starts_of(of[order])
    if np.diff(starts).max(initial=0) <= MOST_OF_A_GROUP:
        return order
    kept = [
        order[first:end]
        if end - first <= MOST_OF_A_GROUP
        else order[np.linspace(first, end - 1, MOST_OF_A_GROUP).round().astype(np.int64)]
        for first, end in zip(starts[:-1].tolist(), starts[1:].tolist(), strict=True)
    ]
    return np.concatenate(kept)


def _kendall_variance(times: NDArray[np.float64], values: NDArray[np.float64], of: Numbers) -> float:
    """Sen's variance of each group with ties taken off, added up; one below 0, as nearly all is tied, is 0."""
    groups, of = numbered(of)
    whole = _weight(np.bincount(of).astype(np.float64))
    for column in (times, values):
        _, level = numbered(column)
        tied, counts = np.unique(of * (int(level.max()) + 1) + level, return_counts=True)
        ties = _weight(counts.astype(np.float64))
        whole -= np.bincount(tied // (int(level.max()) + 1), weights=ties, minlength=len(groups))
    return float(np.maximum(whole, 0).sum()) / 18


def _weight(counts: NDArray[np.float64]) -> NDArray[np.float64]:
    """What Kendall's variance takes of so many; nothing of one."""
    return counts * (counts - 1) * (2 * counts + 5)
