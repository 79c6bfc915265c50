"""Intervals of a mean and of a median, from the firings there are."""

import math
from collections.abc import Sequence
from statistics import fmean, median, stdev

from firings.estimate import Estimate
from firings.heatwork.correction import student_95

# Below so many nothing is said: with fewer an interval is wider than what it should tell.
ENOUGH = 4
# Student's 95 % for 3 degrees of freedom (NIST/SEMATECH e-Handbook 1.3.6.7.2), where the expansion is too rough.
STUDENT_95_OF_3 = 3.182
# The fewest that can all lie on one side by less than 1 chance in 20 (sign test, Dixon and Mood 1946: 2·½⁶ = 0.031).
ENOUGH_FOR_SIGN = 6
# What 95 % leaves at each end.
TAIL = 0.025


def mean_95(values: Sequence[float], basis: str) -> Estimate | None:
    """The mean with Student's 95 % interval (NIST/SEMATECH e-Handbook 1.3.5.2); None from fewer than ENOUGH values.

    >>> mean_95([1.0, 2.0], "firings") is None
    True
    """
    if len(values) < ENOUGH:
        return None
    factor = STUDENT_95_OF_3 if len(values) == ENOUGH else student_95(len(values) - 1)
    reach = factor * stdev(values) / math.sqrt(len(values))
    return Estimate.within(fmean(values), reach, basis=basis, n=len(values))


def median_95(values: Sequence[float], basis: str) -> Estimate | None:
    """The median with an interval of at least 95 % from the order of the values (Conover, Practical Nonparametric
    Statistics, on quantiles); None from fewer than ENOUGH_FOR_SIGN.

    >>> found = median_95([3, 1, 2, 5, 4, 6], "firings")
    >>> found.value, found.low, found.high
    (3.5, 1, 6)
    """
    count = len(values)
    if count < ENOUGH_FOR_SIGN:
        return None
    ordered = sorted(values)
    left_out = _left_out(count)
    return Estimate(median(ordered), ordered[left_out], ordered[-1 - left_out], count, basis)


def _left_out(count: int) -> int:
    """How many values at each end lie outside: the most whose chance under even odds is within the tail."""
    chance, left_out = 0.5**count, 0
    while chance + math.comb(count, left_out + 1) * 0.5**count <= TAIL:
        left_out += 1
        chance += math.comb(count, left_out) * 0.5**count
    return left_out
