"""Spikes and drop-outs of a sensor: found, counted and set apart, never smoothed away in silence.

A sensor that jumps and comes back has not seen the kiln: the kiln cannot follow. What lies between two such jumps is
left out, and the gap is then drawn straight or said, by its length.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from firings.curves.figures import Array
from firings.curves.words import counted

# A reading may differ from the one before by this much [°C], and by so much more for each minute between them
# (common practice, no source): raku rises by 30 °C a minute, an opened kiln falls by 50.
JUMP_C = 25.0
JUMP_C_PER_MIN = 60.0
# What a thermocouple in a kiln cannot read [°C].
COLDEST_C, HOTTEST_C = -60.0, 1850.0
# A lone spike is told from the middle of so many readings around it.
AROUND = 7
# With more jumps than this share of readings the log is noise.
NOISE_SHARE = 0.2


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


def lone(temps_c: Array) -> NDArray[np.bool_]:
    """Up to three readings in a row far from the middle of the seven around them."""
    spikes = np.zeros(len(temps_c), dtype=bool)
    if len(temps_c) < AROUND:
        return spikes
    steps = np.abs(np.diff(temps_c))
    allowed = JUMP_C + 3 * float(np.quantile(steps, 0.9))
    reach = AROUND // 2
    near = np.unique(np.flatnonzero(steps > JUMP_C / 2)[:, np.newaxis] + np.arange(-reach, reach + 2))
    near = near[(near >= 0) & (near < len(temps_c))]
    starts = (near - reach).clip(0, len(temps_c) - AROUND)
    around = np.lib.stride_tricks.sliding_window_view(temps_c, AROUND)[starts]
    spikes[near] = np.abs(temps_c[near] - np.median(around, axis=1)) > allowed
    return spikes


def _may_follow(times_s: Array, temps_c: Array, before: int, after: int) -> bool:
    """Whether a kiln can go from one reading to another in the time between them."""
    allowed = JUMP_C + JUMP_C_PER_MIN * (times_s[after] - times_s[before]) / 60
    return bool(abs(temps_c[after] - temps_c[before]) <= allowed)


def _pieces(times_s: Array, temps_c: Array) -> list[tuple[int, int]]:
    """First and last reading of each stretch without a jump."""
    allowed = JUMP_C + JUMP_C_PER_MIN * np.diff(times_s) / 60
    cuts = np.flatnonzero(np.abs(np.diff(temps_c)) > allowed)
    starts = [0, *(cuts + 1).tolist()]
    return list(zip(starts, [*cuts.tolist(), len(temps_c) - 1], strict=True))


def trusted(times_s: Array, temps_c: Array) -> NDArray[np.bool_]:
    """Readings that a kiln can have gone through, outward from the longest stretch without a jump."""
    pieces = _pieces(times_s, temps_c)
    stands = np.zeros(len(temps_c), dtype=bool)
    longest = max(range(len(pieces)), key=lambda place: pieces[place][1] - pieces[place][0])
    first, last = pieces[longest]
    stands[first : last + 1] = True
    for start, end in pieces[longest + 1 :]:
        if _may_follow(times_s, temps_c, last, start):
            stands[start : end + 1] = True
            last = end
    for start, end in reversed(pieces[:longest]):
        if _may_follow(times_s, temps_c, end, first):
            stands[start : end + 1] = True
            first = start
    return stands


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
    rows = rows[~lone(temps_c[rows])]
    stands = np.zeros(len(temps_c), dtype=bool)
    if len(rows):
        stands[rows[trusted(times_s[rows], temps_c[rows])]] = True
    spikes = int(there.sum() - stands.sum())
    return Cleaned(stands, int((~there).sum()), spikes, spikes > NOISE_SHARE * max(1, int(there.sum())))
