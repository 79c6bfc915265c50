"""Several sensors of one kiln as one curve: the middle of them at each time, whatever their order."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from firings.curves.cleaning import Cleaned, cleaned
from firings.curves.figures import Array
from firings.curves.text import UnreadableCurve
from firings.notice import Notice, apart

# A sensor without readings for longer than this [s] is not drawn across.
LONGEST_BRIDGE_S = 1800.0
# A sensor that misses more than this share of the hot part is left out of the middle: it would come and go.
HOT_PART_C = 200.0
MISSED_SHARE = 0.2
# Sensors this far apart [°C] at the top are worth a word.
APART_C = 40.0


@dataclass(frozen=True, slots=True)
class OneCurve:
    """Times [s], temperatures [°C] and what was done to get them."""

    times_s: Array
    temps_c: Array
    words: list[str]


def bridged(times_s: Array, temps_c: Array, clean: Cleaned) -> Array:
    """A sensor with its short gaps drawn straight; not a number in the long ones."""
    if clean.stands.all():
        return temps_c
    rows = np.flatnonzero(clean.stands)
    filled = np.interp(times_s, times_s[rows], temps_c[rows])
    before = np.searchsorted(rows, np.arange(len(times_s)), side="right") - 1
    inside = (before >= 0) & (before < len(rows) - 1)
    before = before.clip(0, len(rows) - 2) if len(rows) > 1 else np.zeros(len(times_s), int)
    after = (before + 1).clip(max=len(rows) - 1)
    short = times_s[rows[after]] - times_s[rows[before]] <= LONGEST_BRIDGE_S
    return np.where(clean.stands | (inside & short), filled, np.nan)


def middle(curves: Sequence[Array]) -> Array:
    """The median over the sensors of each row; not a number where all are missing.

    >>> middle([np.array([1.0, 4.0]), np.array([3.0, np.nan])])
    array([2., 4.])
    >>> middle([np.array([1.0, 4.0]), np.array([3.0, np.nan]), np.array([9.0, 5.0])])
    array([3. , 4.5])
    """
    if len(curves) == 1:
        return curves[0]
    if len(curves) == 2:
        one, other = curves
        return np.where(np.isnan(one), other, np.where(np.isnan(other), one, (one + other) / 2))
    stack = np.sort(np.array(curves), axis=0)
    known = np.isfinite(stack).sum(axis=0)
    rows = np.arange(stack.shape[1])
    return (
        stack[np.maximum(known - 1, 0) // 2, rows] + stack[np.minimum(known // 2, len(curves) - 1), rows]
    ) / 2


def _missed(curve: Array, hot: NDArray[np.bool_]) -> float:
    return float(np.isnan(curve[hot]).mean()) if hot.any() else 0.0


def one_curve(times_s: Array, sensors: dict[str, Array]) -> OneCurve:
    """All sensors of a kiln as one curve, spikes and drop-outs left out.

    Parameters
    ----------
    times_s : times [s], rising
    sensors : temperatures [°C] by the sensor's name, not a number where missing

    Raises
    ------
    UnreadableCurve : no reading stands
    """
    clean = {name: cleaned(times_s, temps) for name, temps in sensors.items()}
    curves = {
        name: bridged(times_s, sensors[name], clean[name]) for name in sensors if clean[name].stands.any()
    }
    words = [line for name in sorted(clean) for line in clean[name].words(name)]
    if not curves:
        raise UnreadableCurve("No reading of any sensor stands; check the file.")
    everyone = middle(list(curves.values()))
    hot = everyone > np.nanmax(everyone) - HOT_PART_C
    steady = {name: curve for name, curve in curves.items() if _missed(curve, hot) <= MISSED_SHARE}
    if steady and len(steady) < len(curves):
        gone = ", ".join(sorted(set(curves) - set(steady)))
        words.append(f"{gone}: too few readings near the top; the other sensors were taken.")
    temps = middle(list((steady or curves).values()))
    words += _apart_words(steady or curves)
    known = np.isfinite(temps)
    return OneCurve(times_s[known], temps[known], words)


def _apart_words(curves: dict[str, Array]) -> list[Notice]:
    if len(curves) < 2:
        return []
    tops = {name: float(np.nanquantile(curve, 0.99)) for name, curve in curves.items()}
    cold, hot = min(tops, key=lambda name: (tops[name], name)), max(tops, key=lambda name: (tops[name], name))
    words = [Notice(f"{len(curves)} sensors; the middle of them was taken at each time.")]
    if tops[hot] - tops[cold] > APART_C:
        more = apart(tops[hot] - tops[cold])
        words.append(Notice(f"At the top {hot} reads ", more, f" more than {cold}; check the sensors."))
    return words
