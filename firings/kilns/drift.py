"""Whether a kiln's sensor has drifted against its witness cones."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import combinations, takewhile
from statistics import median

from firings.estimate import Estimate
from firings.heatwork.correction import difference_c
from firings.kilns.interval import ENOUGH_FOR_SIGN, median_95
from firings.notice import Notice, apart

# A sensor this near to the cones goes without saying [°C]: below it the reading of a cone by eye is no surer.
SAID_FROM_C = 5.0
DAYS_A_QUARTER = 91.3
Z_95 = 1.959964
METHOD = (
    "Theil and Sen: the middle of the slopes of all pairs of firings, its interval by Kendall’s rank statistic "
    "(Sen 1968)"
)
CHECK = (
    "Check the thermocouple: how far it stands in, its tip, its leads. Work on it is for a licensed electrician or a "
    "trained service person, with the power off at the isolator."
)


@dataclass(frozen=True, slots=True)
class Reading:
    """One firing with both: the day, and by how much the sensor read above the witness cones [°C on a 60 °C/h ramp]."""

    day: date
    reads_c: float

    @property
    def words(self) -> Notice:
        return Notice(apart(self.reads_c, signed=True))


@dataclass(frozen=True, slots=True)
class Drift:
    """A sensor against the cones: `lasting` is the level since `since`, `slope_c` the change a quarter [°C]."""

    sensor: str
    readings: tuple[Reading, ...]
    since: date | None
    lasting: Estimate | None
    slope_c: Estimate | None

    @property
    def is_off(self) -> bool:
        """Whether the sensor is off for sure, and by enough to matter."""
        return self.lasting is not None and abs(self.lasting.value) >= SAID_FROM_C

    @property
    def words(self) -> Notice:
        """What is to be said; that there is not enough, where there is not."""
        count = len(self.readings)
        if count < ENOUGH_FOR_SIGN:
            return Notice(f"Not enough to say: {count} of the {ENOUGH_FOR_SIGN} firings needed have both.")
        if not self.is_off or self.lasting is None or self.since is None:
            return Notice(
                f"The {self.sensor} reads with the witness cones as far as {count} firings can tell."
            )
        found = self.lasting
        leads = "low" if found.value < 0 else "high"
        ends = sorted((abs(found.low), abs(found.high)))
        return Notice(
            f"The {self.sensor} reads ",
            apart(abs(found.value)),
            f" {leads} since {self.since:%B %Y} (n {found.n}, ",
            apart(ends[0]),
            " to ",
            apart(ends[1]),
            "): check the thermocouple.",
        )

    @property
    def slope_words(self) -> Notice:
        """The change a quarter, where there is enough to say."""
        found = self.slope_c
        if found is None:
            return Notice()
        value, low, high = (apart(figure, 1, signed=True) for figure in (found.value, found.low, found.high))
        doubt = "" if found.low * found.high > 0 else ": no drift that can be told from scatter"
        return Notice(value, " a quarter (", low, " to ", high, f"){doubt}")


def reading(day: date, sensor_number: float, witness_number: float) -> Reading:
    """One firing: negative where the sensor read low.

    >>> round(reading(date(2026, 3, 1), 5.5, 6.0).reads_c)
    -17
    """
    return Reading(day, difference_c(sensor_number, witness_number))


def drift(sensor: str, readings: Sequence[Reading]) -> Drift | None:
    """A sensor's history against the cones; None without any.

    It is off for sure where its last six firings or more all lie on one side of the cones (sign test: 1 chance in 32 by
    accident); since the first of that unbroken run.
    """
    if not readings:
        return None
    ordered = tuple(sorted(readings, key=lambda one: one.day))
    run = _last_run(ordered)
    lasting = median_95([one.reads_c for one in run], "median, interval by order of the values")
    slope = theil_sen([(one.day.toordinal() / DAYS_A_QUARTER, one.reads_c) for one in ordered])
    return Drift(sensor, ordered, run[0].day if lasting else None, lasting, slope)


def _last_run(ordered: Sequence[Reading]) -> list[Reading]:
    """The last readings that all lie on the side of the very last one."""
    is_low = ordered[-1].reads_c < 0
    same = takewhile(lambda one: one.reads_c != 0 and (one.reads_c < 0) == is_low, reversed(ordered))
    return list(same)[::-1] or [ordered[-1]]


def theil_sen(points: Sequence[tuple[float, float]]) -> Estimate | None:
    """The robust slope of points (x, y) with its 95 % interval; None from fewer than six or where all x are one.

    >>> theil_sen([(0, 0), (1, 1), (2, 2), (3, 3), (4, 4), (5, 50)]).value
    1.0
    """
    if len(points) < ENOUGH_FOR_SIGN:
        return None
    pairs = [
        (after[0] - before[0], after[1] - before[1]) for before, after in combinations(sorted(points), 2)
    ]
    slopes = sorted(rise / run for run, rise in pairs if run > 0)
    if not slopes:
        return None
    count = len(points)
    reach = Z_95 * math.sqrt(count * (count - 1) * (2 * count + 5) / 18)
    low = max(round((len(slopes) - reach) / 2) - 1, 0)
    high = min(round((len(slopes) + reach) / 2), len(slopes) - 1)
    return Estimate(median(slopes), slopes[low], slopes[high], count, METHOD)
