"""How sure a cone computed from temperatures is, in degrees at the top."""

import math
from dataclasses import dataclass

from firings.notice import Notice, apart

# Standard error of the table about the model: residuals' root mean square 1.30 °C, three points and two coefficients
# a cone, so 1.30·√3 = 2.25 °C; twice that.
MODEL_PM_C = 4.5
# IEC 60584-1, type K, tolerance class 2: ±2.5 °C or ±0.0075·t, whichever is more (from memory, unverified).
SENSOR_LEAST_PM_C = 2.5
SENSOR_SHARE = 0.0075

NONE_TOLD = Notice()


@dataclass(frozen=True, slots=True)
class Sensor:
    """How far the sensor may be off, and by how much to put it right.

    `pm_c` is the half-width of a 95 % interval [°C]; None takes the tolerance of a type K thermocouple, class 2.
    `offset_c` is added to every reading: what the kiln's own witness cones showed the ware to be hotter.
    """

    pm_c: float | None = None
    offset_c: float = 0.0
    basis: Notice = NONE_TOLD

    def spread_c(self, peak_c: float) -> float:
        if self.pm_c is not None:
            return self.pm_c
        return max(SENSOR_LEAST_PM_C, SENSOR_SHARE * peak_c)

    def words(self, peak_c: float) -> Notice:
        if self.basis:
            return self.basis
        known = "" if self.pm_c is not None else ", the tolerance of type K class 2"
        return Notice("sensor ±", apart(self.spread_c(peak_c)), known)


def spread_of_cone_c(sensor: Sensor, peak_c: float) -> float:
    """Half-width [°C] of sensor and model together.

    >>> round(spread_of_cone_c(Sensor(), 1222.0), 1)
    10.2
    """
    return math.hypot(sensor.spread_c(peak_c), MODEL_PM_C)
