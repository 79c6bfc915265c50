"""How far each cone has bent: the integral of its bending rate over the firing, 1 being the end point.

Straight pieces (a programme's ramps and holds) are exact; logged curves are summed by trapezoids over the time spent at
each temperature, which is one short table whatever the number of samples.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from firings.heatwork.kinetics import (
    BASE_RATE_C_PER_H,
    Array,
    Indices,
    Kinetics,
    bending_per_h,
    kelvin,
    ln_ramp_integral,
)

SECONDS_PER_H = 3600.0

# Temperatures are gathered in classes this wide [°C], each at its mean: an error below 0.0005 of the bending of the
# stiffest cone, below 0.0001 at cone 6.
CLASS_C = 1.0
# Only what lies less than this below the hottest point is summed [°C]: what is cooler adds less than 0.0001 to any cone
# near its end point, and less than 0.01 of the bending of one that is long down.
COUNTED_PART_C = 300.0
# Pieces of a log that are long and steep are cut into steps of this size [°C], so that a log taken every five minutes
# says the same as one taken each second.
FINE_STEP_C = 1.0
COARSE_LOG_S = 20.0
# A gap longer than this [s], in the hot part [°C below the hottest], hides what the cone saw.
LONGEST_GAP_S = 1800.0
HOT_PART_C = 200.0


class UnfitCurve(ValueError):
    """A curve that cannot be summed; the message says why, in words for a page."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A straight piece of a firing: from one temperature [°C] to another in so many hours; a hold where they agree."""

    from_c: float
    to_c: float
    hours: float


def bending_of_ramp(kinetics: Kinetics, from_c: float, to_c: float, hours: float) -> Array:
    """Bending of each cone on a straight ramp, up or down: (A/β)·(G(hotter) - G(cooler)), exact."""
    cooler, hotter = sorted((from_c, to_c))
    rate = (hotter - cooler) / hours
    at_end = ln_ramp_integral(kelvin(kinetics.end_60_c), kinetics.b_k)
    upper = np.exp(ln_ramp_integral(kelvin(hotter), kinetics.b_k) - at_end)
    lower = np.exp(ln_ramp_integral(kelvin(cooler), kinetics.b_k) - at_end)
    return BASE_RATE_C_PER_H / rate * (upper - lower)


def bending_of_piece(kinetics: Kinetics, piece: Piece) -> Array:
    """Bending of each cone over one straight piece; a piece flatter than 0.01 °C is a hold."""
    if piece.hours <= 0:
        return np.zeros(len(kinetics))
    if abs(piece.to_c - piece.from_c) < 0.01:
        return bending_per_h(kinetics, np.array(piece.to_c)) * piece.hours
    return bending_of_ramp(kinetics, piece.from_c, piece.to_c, piece.hours)


def bending_of_pieces(kinetics: Kinetics, pieces: Sequence[Piece]) -> Array:
    """Bending of each cone over straight pieces in a row, exact.

    >>> from firings.heatwork.kinetics import ladder, place_of
    >>> h = bending_of_pieces(ladder(), [Piece(22, 1222, 20.0), Piece(1222, 1222, 0.25)])
    >>> round(float(h[place_of(30)]), 3)   # cone 6 after 60 °C/h to 1222 °C and 15 minutes
    1.698
    """
    return sum((bending_of_piece(kinetics, piece) for piece in pieces), np.zeros(len(kinetics)))


def check_curve(times_s: Array, temps_c: Array) -> None:
    """Refuse what cannot be summed.

    Raises
    ------
    UnfitCurve : fewer than two points, lengths that differ, missing figures, or a clock that stands still or goes back
    """
    if times_s.ndim != 1 or times_s.shape != temps_c.shape:
        raise UnfitCurve("A curve needs one temperature for each time.")
    if len(times_s) < 2:
        raise UnfitCurve("A curve needs two points or more.")
    steps_s = times_s[1:] - times_s[:-1]
    # A sum is finite only where every figure is; and so is what rises to a finite end.
    if steps_s.min() > 0 and np.isfinite(temps_c.sum() + times_s[0] + times_s[-1]):
        return
    if not (np.isfinite(times_s).all() and np.isfinite(temps_c).all()):
        raise UnfitCurve("The curve has missing figures; leave those rows out.")
    if steps_s.min() <= 0:
        at = times_s[int(np.argmin(steps_s > 0))]
        raise UnfitCurve(f"The clock stands still or goes back after {at:.0f} s; put the rows in order.")


def hot_gaps(times_s: Array, temps_c: Array, longest_s: float = LONGEST_GAP_S) -> Indices:
    """Indices of the pieces that are gaps in the hot part, where the curve was not seen."""
    long = np.flatnonzero(times_s[1:] - times_s[:-1] > longest_s)
    if not len(long):
        return long
    return long[np.maximum(temps_c[long], temps_c[long + 1]) > temps_c.max() - HOT_PART_C]


def finely(times_s: Array, temps_c: Array) -> tuple[Array, Array]:
    """The same curve with its long, steep pieces cut into steps of at most FINE_STEP_C."""
    steps_s = times_s[1:] - times_s[:-1]
    slow = steps_s > COARSE_LOG_S
    if not slow.any():
        return times_s, temps_c
    cuts = np.where(slow, np.ceil(np.abs(np.diff(temps_c)) / FINE_STEP_C), 1).clip(1, 2000).astype(int)
    index = np.repeat(np.arange(len(cuts)), cuts)
    within = np.arange(len(index)) - np.repeat(np.cumsum(cuts) - cuts, cuts)
    fine_s = times_s[index] + steps_s[index] * within / cuts[index]
    fine_s = np.append(fine_s, times_s[-1])
    return fine_s, np.interp(fine_s, times_s, temps_c)


def time_at_temperature(
    times_s: Array, temps_c: Array, cuts: Sequence[int] = ()
) -> tuple[Array, Array, Indices]:
    """How long a curve spent near each temperature, in each of the parts between the samples `cuts`.

    Trapezoids: each piece stands half for the sample before it and half for the one behind it.

    Returns
    -------
    temperatures [°C], hours there, and the part they belong to, counted from nought
    """
    halves_h = (times_s[1:] - times_s[:-1]) * (0.5 / SECONDS_PER_H)
    classes = ((temps_c - temps_c.min()) * (1 / CLASS_C)).astype(np.intp)
    width = int(classes.max()) + 1
    before, behind = classes[:-1], classes[1:].copy()
    for cut in cuts:
        before[cut:] += width
        behind[cut:] += width
    size = width * (len(cuts) + 1)
    hours = np.bincount(before, halves_h, size) + np.bincount(behind, halves_h, size)
    product = np.bincount(before, halves_h * temps_c[:-1], size)
    product = product + np.bincount(behind, halves_h * temps_c[1:], size)
    met = np.flatnonzero(hours)
    return np.asarray(product[met] / hours[met], float), np.asarray(hours[met], float), met // width


def counted_part(temps_c: Array) -> slice:
    """From the first to the last sample hot enough to count."""
    hot = temps_c > temps_c.max() - COUNTED_PART_C
    return slice(max(int(hot.argmax()) - 1, 0), len(hot) - int(hot[::-1].argmax()) + 1)


def sum_in_parts(kinetics: Kinetics, times_s: Array, temps_c: Array, cuts: Sequence[int]) -> Array:
    """Bending in each part of a curve known to be fit, cut at the samples `cuts`; straight across any gap.

    Returns
    -------
    shape (parts, cones)
    """
    fine_s, fine_c = finely(times_s, temps_c)
    places = np.searchsorted(fine_s, times_s[list(cuts)]).tolist() if len(cuts) else []
    temperatures, hours, part = time_at_temperature(fine_s, fine_c, places)
    share = np.zeros((len(cuts) + 1, len(hours)))
    share[part, np.arange(len(hours))] = hours
    return share @ bending_per_h(kinetics, temperatures)


def sum_of_curve(kinetics: Kinetics, times_s: Array, temps_c: Array) -> Array:
    """Bending of each cone over a curve known to be fit, straight across any gap."""
    counted = counted_part(temps_c)
    return np.asarray(sum_in_parts(kinetics, times_s[counted], temps_c[counted], ())[0])


def bending_of_curve(
    kinetics: Kinetics, times_s: Array, temps_c: Array, *, longest_gap_s: float = LONGEST_GAP_S
) -> Array:
    """Bending of each cone over a logged curve: the published method in one call, for whoever checks or builds on it.

    Parameters
    ----------
    times_s, temps_c : times [s], rising, and temperatures [°C] of one sensor, same length
    longest_gap_s : a longer gap in the hot part is refused

    Raises
    ------
    UnfitCurve : see `check_curve`; or a gap in the hot part
    """
    check_curve(times_s, temps_c)
    if len(gaps := hot_gaps(times_s, temps_c, longest_gap_s)):
        minutes = (times_s[gaps[0] + 1] - times_s[gaps[0]]) / 60
        raise UnfitCurve(
            f"Nothing was logged for {minutes:.0f} min near the top, at {temps_c[gaps[0]]:.0f} °C."
        )
    return sum_of_curve(kinetics, times_s, temps_c)
