"""Where the top of a firing begins and ends: the last ramp's end and the moment the power goes off.

A programme says it; a log does not. The edge of the top is the knee of the curve: the sample farthest above the chord
from inside the top to 40 °C below it. Noise, overshoot and a sagging hold move it little, and a descent that begins
slowly is cut at its beginning.
"""

from dataclasses import dataclass

import numpy as np

from firings.heatwork.kinetics import Array

# What lies within this of the hottest point belongs to the top [°C]; a longer fall is a drop.
TOP_C = 10.0
# The knee is looked for down to here [°C below the hottest point].
SHOULDER_C = 40.0
# A log taken more often than this [s] is evened out over it before the knee is looked for.
EVENED_S = 60.0
# Between firings the kiln was opened: it cooled below this [°C], or to below half of the top where that is less.
OPENED_BELOW_C = 250.0


@dataclass(frozen=True, slots=True)
class Top:
    """The samples at which the top begins and ends, and the hottest temperature [°C]."""

    first: int
    last: int
    peak_c: float


def evened(times_s: Array, temps_c: Array) -> Array:
    """Running mean over a minute, where that is three readings or more."""
    if len(temps_c) < 3:
        return temps_c
    reach = int(EVENED_S / 2 * (len(times_s) - 1) / (times_s[-1] - times_s[0]))
    if reach < 1 or len(temps_c) <= 2 * reach:
        return temps_c
    total = np.concatenate([[0.0], np.cumsum(temps_c - temps_c[0])])
    mean = temps_c.copy()
    mean[reach:-reach] = (total[2 * reach + 1 :] - total[: -2 * reach - 1]) / (2 * reach + 1) + temps_c[0]
    return mean


def last_of_top(times_s: Array, temps_c: Array) -> int:
    """The sample where the final descent begins."""
    below_c = temps_c.max() - temps_c
    near = int(np.flatnonzero(below_c <= TOP_C)[-1])
    if near == len(temps_c) - 1:
        return near
    gone = below_c[near:] >= SHOULDER_C
    end = near + int(gone.argmax()) if gone.any() else len(temps_c) - 1
    reach_s = times_s[near] - 2 * (times_s[end] - times_s[near])
    start = int(max(np.searchsorted(times_s, reach_s, side="right") - 1, (below_c <= TOP_C).argmax(), 0))
    chord = np.interp(times_s[start : near + 1], times_s[[start, end]], temps_c[[start, end]])
    return start + int(np.argmax(temps_c[start : near + 1] - chord))


def top_of(times_s: Array, temps_c: Array) -> Top:
    """The top of one firing; its beginning is found as the end of the curve run backwards.

    >>> times = np.arange(0, 601.0) * 60
    >>> temps = np.interp(times / 3600, [0, 8, 8.5, 10], [22, 1222, 1222, 900])   # 30 minutes' hold
    >>> top = top_of(times, temps)
    >>> float((times[top.last] - times[top.first]) / 60)
    30.0
    """
    near = temps_c > temps_c.max() - 1.5 * SHOULDER_C
    start, stop = max(int(near.argmax()) - 1, 0), len(near) - int(near[::-1].argmax()) + 1
    times_s = times_s[start:stop]
    even = evened(times_s, temps_c[start:stop])
    last = last_of_top(times_s, even)
    first = len(even) - 1 - last_of_top(-times_s[::-1], even[::-1])
    return Top(start + min(first, last), start + last, float(temps_c.max()))


def hottest_firing(temps_c: Array) -> tuple[slice, bool]:
    """The part of a log around its hottest point, and whether another firing lies outside of it.

    A logger left running writes several firings into one file; their heat work must not be added up.
    """
    peak = int(temps_c.argmax())
    opened = temps_c < min(OPENED_BELOW_C, temps_c[peak] / 2)
    before = np.flatnonzero(opened[:peak])
    after = np.flatnonzero(opened[peak:])
    first = int(before[-1]) if len(before) else 0
    stop = peak + int(after[0]) + 1 if len(after) else len(temps_c)
    outside = max(temps_c[:first].max(initial=-np.inf), temps_c[stop:].max(initial=-np.inf))
    return slice(first, stop), bool(outside > temps_c[peak] / 2)
