"""A logged curve as small as a word, on one scale with others; lengths in units of the drawing, y downwards."""

from dataclasses import dataclass

import numpy as np

from firings.curves.figures import Array
from firings.curves.thinning import thinned

WIDTH, HEIGHT = 96.0, 28.0
SLICES = 24


@dataclass(frozen=True, slots=True)
class Spark:
    """Times [h] and temperatures [°C] of one curve, thinned."""

    hours: Array
    temps_c: Array

    def svg(self, longest_h: float, hottest_c: float) -> str:
        """The points of its line, where the longest and the hottest of all fill the drawing.

        >>> Spark(np.array([0.0, 5.0, 10.0]), np.array([20.0, 1000.0, 20.0])).svg(10.0, 1000.0)
        '0.0,26.5 48.0,1.0 96.0,26.5'
        """
        x = self.hours / longest_h * WIDTH
        y = HEIGHT - 1 - np.clip(self.temps_c / hottest_c, 0, 1) * (HEIGHT - 2)
        return " ".join(f"{one:.1f},{other:.1f}" for one, other in zip(x, y, strict=True))


def spark_of(times_s: Array, temps_c: Array) -> Spark | None:
    """A curve for a small drawing; None where nothing of it is known."""
    known = np.isfinite(temps_c)
    if known.sum() < 2:
        return None
    hours, temps = times_s[known] / 3600, temps_c[known]
    shown = thinned(hours, temps, SLICES)
    return Spark(hours[shown], temps[shown])
