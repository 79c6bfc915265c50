"""How heat work gathers over a firing: the equivalent cone at each moment."""

import numpy as np

from firings.curves.figures import Array
from firings.heatwork.bending import SECONDS_PER_H
from firings.heatwork.kinetics import bending_per_h, ladder
from firings.heatwork.ladder import excess_c
from firings.heatwork.top import hottest_firing

# So many moments of the hot part are summed; 12 h in steps of 20 s.
STEPS = 2000
# Below this [°C under the hottest] nothing that a drawing could show has bent.
HOT_PART_C = 450.0


def numbers_at(excess: Array) -> Array:
    """Decimal cones of many moments, each by the rule of the ladder; not a number where 019 still stands.

    Parameters
    ----------
    excess : degrees past the end point [°C], shape (moments, cones)
    """
    cones = ladder()
    done = np.logical_and.accumulate(excess >= 0, axis=1).sum(axis=1)
    last = (done - 1).clip(0, len(cones) - 2)
    rows = np.arange(len(done))
    low, high = excess[rows, last], excess[rows, last + 1]
    with np.errstate(divide="ignore", invalid="ignore"):
        toward = np.where(low == high, 0.0, low / (low - high))
    steps = np.diff(cones.number)[last]
    found = np.where(done == len(cones), cones.number[-1], cones.number[last] + steps * toward)
    return np.where(done == 0, np.nan, found)


def cone_over_time(times_s: Array, temps_c: Array, steps: int = STEPS) -> tuple[Array, Array]:
    """The equivalent cone that a firing has come to at each of many moments.

    Parameters
    ----------
    times_s, temps_c : times [s], rising, and temperatures [°C], none missing
    steps : moments to sum over

    Returns
    -------
    times [s] and decimal cones there, from the first moment at which 019 is down; both empty where it never is

    >>> times, numbers = cone_over_time(np.array([0.0, 72000.0]), np.array([22.0, 1222.0]))
    >>> round(float(numbers[-1]), 1)       # 60 °C/h to 1222 °C
    6.1
    """
    firing, _ = hottest_firing(temps_c)
    times_s, temps_c = times_s[firing], temps_c[firing]
    hot = np.flatnonzero(temps_c > temps_c.max() - HOT_PART_C)
    first, last = max(int(hot[0]) - 1, 0), min(int(hot[-1]) + 1, len(temps_c) - 1)
    moments = np.linspace(times_s[first], times_s[last], steps)
    rates = bending_per_h(ladder(), np.interp(moments, times_s, temps_c))
    pieces = (rates[1:] + rates[:-1]) * (np.diff(moments) / (2 * SECONDS_PER_H))[:, np.newaxis]
    bending = np.vstack([np.zeros(len(ladder())), np.cumsum(pieces, axis=0)])
    numbers = numbers_at(excess_c(bending))
    known = np.isfinite(numbers)
    return moments[known], numbers[known]
