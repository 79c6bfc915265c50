"""Fewer points that draw the same line: in each slice of time the first, lowest, highest and last reading stay."""

import numpy as np

from firings.curves.figures import Array
from firings.heatwork.kinetics import Indices


def thinned(times: Array, temps: Array, slices: int) -> Indices:
    """Places of the readings that draw the curve on so many pixels; at most four a slice, all where they are few.

    Parameters
    ----------
    times, temps : rising times and one temperature for each, none missing
    slices : pixels across

    >>> temps = np.zeros(10_000)
    >>> temps[4321] = 90.0                 # one reading that stands out is not lost
    >>> bool((thinned(np.arange(10_000.0), temps, 100) == 4321).any())
    True
    """
    if len(times) <= 4 * slices:
        return np.arange(len(times))
    edges = np.linspace(times[0], times[-1], slices + 1)[:-1]
    starts = np.unique(np.searchsorted(times, edges))
    stops = np.append(starts[1:], len(times))
    order = np.lexsort((temps, np.repeat(np.arange(len(starts)), stops - starts)))
    return np.unique(np.concatenate([starts, stops - 1, order[starts], order[stops - 1]]))
