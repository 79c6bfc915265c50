"""From bending to a decimal cone, on the ladder of whole cones from 019 to 14.

With lo the last cone done and hi the next, each cone's excess is the peak of a plain 60 °C/h ramp that would have bent
it as far, minus its own end point on such a ramp [°C]: positive for lo, negative for hi. The decimal cone lies between
them in that proportion. It is exact at both ends and does not depend on the rate of firing.
"""

from dataclasses import dataclass

import numpy as np

from firings.cones import series
from firings.cones.series import Cone
from firings.heatwork.kinetics import Array, kelvin, ladder, ln_ramp_integral

# Beyond this the peak of the equal ramp says nothing new, and the formula leaves its range.
_LN_BENDING_LIMIT = 8.0


@dataclass(frozen=True, slots=True)
class Step:
    """A place on the ladder: the hottest cone fully down and the progress to the next, 0 to 1.

    `cone` is None where not even 019 is down; `toward_next` is 0 there, and beyond cone 14.
    """

    cone: Cone | None
    toward_next: float
    number: float | None

    @property
    def is_beyond(self) -> bool:
        """Cone 14 is down: the firing was that hot at least."""
        return self.cone is not None and self.cone.order == ladder().order[-1]


def excess_c(bending: Array) -> Array:
    """For each cone of the ladder, the degrees [°C] of a plain 60 °C/h ramp by which it is past its end point.

    Zero bending counts as far below. Newton's method on ln G(T), started from
    Arrhenius' straight line: two steps leave less than 0.001 °C.
    """
    cones = ladder()
    with np.errstate(divide="ignore"):
        ln_bending = np.log(bending).clip(-_LN_BENDING_LIMIT, _LN_BENDING_LIMIT)
    end_k = kelvin(cones.end_60_c)
    wanted = ln_ramp_integral(end_k, cones.b_k) + ln_bending
    temp_k = cones.b_k / (cones.b_k / end_k - ln_bending)
    for _ in range(2):
        ln_g = ln_ramp_integral(temp_k, cones.b_k)
        temp_k = temp_k - (ln_g - wanted) / np.exp(-cones.b_k / temp_k - ln_g)
    return temp_k - end_k


def cones_down(excess: Array) -> int:
    """How many cones of the ladder are done, from the coolest on without a break.

    Slow firings can bend a hotter cone before a cooler one of another composition; then the cooler one decides.
    """
    short = excess < 0
    return int(short.argmax()) if short.any() else len(short)


def progress(excess: Array, done: int) -> float:
    """From the last cone done towards the next, 0 to 1; nothing before the first and after the last."""
    if not 0 < done < len(excess):
        return 0.0
    return float(excess[done - 1] / (excess[done - 1] - excess[done]))


def step_at(excess: Array) -> Step:
    """Where a firing stands: the hottest cone done with every cooler one done too."""
    done = cones_down(excess)
    if done == 0:
        return Step(None, 0.0, None)
    cone = series.of_order(int(ladder().order[done - 1]))
    return Step(cone, progress(excess, done), number_at(excess))


def number_at(excess: Array) -> float:
    """The decimal cone; the coolest of the ladder, -18 (019), where not even that is down."""
    done = cones_down(excess)
    return float(ladder().number[max(done, 1) - 1]) + progress(excess, done)


def end_point_60_c(number: float) -> float:
    """Peak [°C] of the plain 60 °C/h ramp that reaches a decimal cone; held at the ladder's ends.

    >>> round(end_point_60_c(5.51))
    1204
    """
    return float(np.interp(number, ladder().number, ladder().end_60_c))
