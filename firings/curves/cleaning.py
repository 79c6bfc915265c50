"""Spikes and drop-outs of a sensor: found, counted and set apart, never smoothed away in silence.

A sensor that jumps and comes back has not seen the kiln: the kiln cannot follow. What lies between two such jumps is
left out, and the gap is then drawn straight or said, by its length.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from firings.curves.figures import Array
from firings.words import counted

# A reading may differ from the one before by this much [°C], and by so much more for each minute between them
# (common practice, no source): raku rises by 30 °C a minute, an opened kiln falls by 50.
JUMP_C = 25.0
JUMP_C_PER_MIN = 60.0
# A stretch of this share of the readings is long; a jump of this much [°C] does not speak against it.
LONG_SHARE = 0.05
CAME_FREE_C = 150.0
# What a thermocouple in a kiln cannot read [°C].
COLDEST_C, HOTTEST_C = -60.0, 1850.0
# A lone spike is told from the middle of so many readings around it.
AROUND = 7
# With more spikes than this share of readings, or half of them this far off [°C], the log is noise.
NOISE_SHARE = 0.2
NOISE_C = 15.0


@dataclass(frozen=True, slots=True)
class Cleaned:
    """Which readings of a sensor stand, how many did not, and that in words."""

    stands: NDArray[np.bool_]
    missing: int
    spikes: int
    is_noise: bool

    def words(self, name: str) -> list[str]:
        found = []
        if self.missing:
            found.append(f"{name}: {counted(self.missing, 'reading')} missing.")
        if self.spikes:
            found.append(
                f"{name}: left out {counted(self.spikes, 'reading')} that no kiln can follow (spikes or drop-outs)."
            )
        if self.is_noise:
            found.append(f"{name} jumps about so much that it cannot be trusted; check the sensor.")
        return found


def lone(times_s: Array, temps_c: Array) -> NDArray[np.bool_]:
    """Up to three readings in a row far from the middle of the seven around them."""
    spikes = np.zeros(len(temps_c), dtype=bool)
    if len(temps_c) < AROUND:
        return spikes
    steps = np.abs(np.diff(temps_c))
    allowed = _usual_jump_c(times_s, temps_c)
    reach = AROUND // 2
    near = np.unique(np.flatnonzero(steps > JUMP_C / 2)[:, np.newaxis] + np.arange(-reach, reach + 2))
    near = near[(near >= 0) & (near < len(temps_c))]
    starts = (near - reach).clip(0, len(temps_c) - AROUND)
    around = np.lib.stride_tricks.sliding_window_view(temps_c, AROUND)[starts]
    spikes[near] = np.abs(temps_c[near] - np.median(around, axis=1)) > allowed
    return spikes


def _usual_jump_c(times_s: Array, temps_c: Array) -> float:
    """A step that is no jump in this log: by its usual steps, and never more than a kiln can do in one."""
    usual = 3 * float(np.quantile(np.abs(np.diff(temps_c)), 0.9))
    possible = JUMP_C_PER_MIN * float(np.median(np.diff(times_s))) / 60
    return JUMP_C + min(usual, possible)


def _may_follow(times_s: Array, temps_c: Array, before: int, after: int, *, is_long: bool) -> bool:
    """Whether a kiln can go from one reading to another in the time between them.

    A long stretch is believed in spite of a moderate jump: a sensor that stuck for a while and came free.
    """
    allowed = JUMP_C + JUMP_C_PER_MIN * (times_s[after] - times_s[before]) / 60
    return bool(abs(temps_c[after] - temps_c[before]) <= max(allowed, CAME_FREE_C if is_long else 0.0))


def _pieces(times_s: Array, temps_c: Array) -> list[tuple[int, int]]:
    """First and last reading of each stretch without a jump."""
    cuts = np.flatnonzero(np.abs(np.diff(temps_c)) > _usual_jump_c(times_s, temps_c))
    starts = [0, *(cuts + 1).tolist()]
    return list(zip(starts, [*cuts.tolist(), len(temps_c) - 1], strict=True))


def trusted(times_s: Array, temps_c: Array) -> NDArray[np.bool_]:
    """Readings that a kiln can have gone through, outward from the longest stretch without a jump."""
    stands = np.ones(len(temps_c), dtype=bool)
    pieces = _pieces(times_s, temps_c) if len(temps_c) > 1 else []
    if len(pieces) < 2:
        return stands
    lengths = [last - first + 1 for first, last in pieces]
    long = [length >= LONG_SHARE * len(temps_c) for length in lengths]
    longest = int(np.argmax(lengths))
    first, last = pieces[longest]
    for place in range(longest + 1, len(pieces)):
        start, end = pieces[place]
        if _may_follow(times_s, temps_c, last, start, is_long=long[place]):
            last = end
        else:
            stands[start : end + 1] = False
    for place in range(longest - 1, -1, -1):
        start, end = pieces[place]
        if _may_follow(times_s, temps_c, end, first, is_long=long[place]):
            first = start
        else:
            stands[start : end + 1] = False
    return stands


def is_noise(temps_c: Array) -> bool:
    """Whether half of the readings lie far from the mean of their neighbours."""
    if len(temps_c) < AROUND:
        return False
    return float(np.median(np.abs(temps_c[1:-1] - (temps_c[:-2] + temps_c[2:]) / 2))) > NOISE_C


def cleaned(times_s: Array, temps_c: Array) -> Cleaned:
    """Which readings of one sensor stand.

    Parameters
    ----------
    times_s, temps_c : times [s], rising, and temperatures [°C], not a number where missing

    >>> times = np.arange(6) * 60.0
    >>> cleaned(times, np.array([1000.0, 1001.0, 9.0, 1003.0, np.nan, 1005.0])).stands.tolist()
    [True, True, False, True, False, True]
    """
    there = np.isfinite(temps_c)
    possible = there & (temps_c > COLDEST_C) & (temps_c < HOTTEST_C)
    rows = np.flatnonzero(possible)
    rows = rows[~lone(times_s[rows], temps_c[rows])]
    stands = np.zeros(len(temps_c), dtype=bool)
    if len(rows):
        stands[rows[trusted(times_s[rows], temps_c[rows])]] = True
    spikes = int(there.sum() - stands.sum())
    noisy = spikes > NOISE_SHARE * max(1, int(there.sum())) or is_noise(temps_c[rows])
    return Cleaned(stands, int((~there).sum()), spikes, noisy)
