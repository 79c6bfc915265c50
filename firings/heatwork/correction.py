"""A kiln's own correction: how much hotter its witness cones say the ware was than its sensor."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from firings.estimate import Estimate
from firings.heatwork.ladder import end_point_60_c
from firings.heatwork.uncertainty import Sensor
from firings.notice import Notice, apart
from firings.words import counted

# So many of the newest firings are looked at: sensors age.
LAST_FIRINGS = 10
# With fewer firings a correction is not applied: one misread cone would carry every curve with it (common practice, no
# source). Of three that agree, a single firing lies within 12 °C.
FIRINGS_TO_COUNT = 3
# What one firing's difference scatters by before any is known [°C], and how many firings that belief is worth
# (common practice, no source); with few firings it keeps the interval honest.
BELIEVED_SCATTER_C = 5.0
BELIEF_WORTH = 4
# Median absolute deviation to standard deviation, and the median's loss against the mean, for normal scatter.
MAD_TO_SD = 1.4826
MEDIAN_LOSS = math.sqrt(math.pi / 2)


@dataclass(frozen=True, slots=True)
class KilnOffset:
    """Degrees [°C] to add to the sensor, with their interval, and how far a single firing may lie from them."""

    offset_c: Estimate
    single_pm_c: float

    @property
    def words(self) -> Notice:
        """What it does to this kiln's figures."""
        found = self.offset_c
        value, low, high = (apart(figure, signed=True) for figure in (found.value, found.low, found.high))
        return Notice(
            "Forecasts for this kiln, and the cones of later curves, are put right by ",
            *(value, " (", low, " to ", high, f", n {found.n})."),
        )

    def sensor(self) -> Sensor:
        """The sensor put right, for `equivalent` and `predict`."""
        words = Notice(
            "corrected by this kiln’s witness cones, ",
            apart(self.offset_c.value, signed=True),
            f", n = {self.offset_c.n}, ±",
            apart(self.single_pm_c),
        )
        return Sensor(self.single_pm_c, self.offset_c.value, words)


def difference_c(witness_number: float, curve_number: float) -> float:
    """Degrees [°C] of a plain 60 °C/h ramp between two decimal cones: positive where the ware saw more.

    >>> round(difference_c(6.0, 5.5))
    17
    """
    return end_point_60_c(witness_number) - end_point_60_c(curve_number)


def student_95(freedom: int) -> float:
    """Half-width of Student's 95 % interval, by Cornish and Fisher's expansion; within 0.02 from 4 degrees on.

    >>> round(student_95(9), 2)   # tables: 2.26
    2.26
    """
    z = 1.959964
    terms = [
        (z**3 + z) / 4,
        (5 * z**5 + 16 * z**3 + 3 * z) / 96,
        (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / 384,
    ]
    return z + sum(term / freedom**power for power, term in enumerate(terms, start=1))


def counted_offset(pairs: Sequence[tuple[float, float]]) -> KilnOffset | None:
    """The kiln's offset where enough firings stand behind it to apply it; see `kiln_offset`.

    >>> counted_offset([(6.0, 5.75), (6.1, 5.85)]) is None
    True
    """
    return kiln_offset(pairs) if len(pairs) >= FIRINGS_TO_COUNT else None


def kiln_offset(pairs: Sequence[tuple[float, float]]) -> KilnOffset | None:
    """The kiln's offset from firings with both; None without any.

    Parameters
    ----------
    pairs : (decimal cone by witness cones, decimal cone by the uncorrected curve) of each firing, oldest first

    The median of the last firings, so that one misread cone does not move it; the scatter by their median absolute
    deviation, mixed with what is believed beforehand.

    >>> found = kiln_offset([(6.0, 5.75), (6.1, 5.85), (6.0, 5.5), (6.0, 5.74)])
    >>> round(found.offset_c.value), found.offset_c.n
    (8, 4)
    """
    differences = np.array([difference_c(*pair) for pair in pairs[-LAST_FIRINGS:]])
    if not len(differences):
        return None
    median = float(np.median(differences))
    seen = MAD_TO_SD * float(np.median(np.abs(differences - median)))
    freedom = BELIEF_WORTH + len(differences) - 1
    scatter = math.sqrt((BELIEF_WORTH * BELIEVED_SCATTER_C**2 + (len(differences) - 1) * seen**2) / freedom)
    reach = student_95(freedom) * scatter
    loss = MEDIAN_LOSS if len(differences) > 2 else 1.0
    mean_pm = reach * loss / math.sqrt(len(differences))
    basis = f"witness cones of {counted(len(differences), 'firing')}"
    return KilnOffset(
        Estimate.within(median, mean_pm, basis=basis, n=len(differences)), math.hypot(reach, mean_pm)
    )
