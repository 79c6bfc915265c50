"""The hold, or the top temperature, that reaches a cone: a band from the table's model to the published hold rule."""

import numpy as np

from firings.cones import series
from firings.estimate import Estimate
from firings.heatwork.bending import Piece, bending_of_pieces
from firings.heatwork.fit import end_point_c
from firings.heatwork.holdrule import degrees_of_hold, hold_of_degrees
from firings.heatwork.kinetics import Array, Kinetics, bending_per_h, ladder, place_of
from firings.notice import Notice, temp
from firings.programmes.segments import ROOM_C

BASIS = "the cone table’s model to the published rule of thumb for holds"
# Longer holds are no firing; the temperature is too low for the cone.
LONGEST_HOLD_MIN = 24 * 60.0
# Where a top temperature is looked for [°C].
COOLEST_TOP_C, HOTTEST_TOP_C = 500.0, 1700.0


class OutOfReach(ValueError):
    """A cone that this way of firing does not reach; `words` say what to change."""

    def __init__(self, words: Notice) -> None:
        super().__init__(words)
        self.words = words


def up_to(order: int) -> Kinetics:
    """The target cone and all cooler ones of the ladder: a cone counts when these are down too."""
    return ladder().only(slice(place_of(order) + 1))


def top_of_ramp_c(order: int, rate_c_per_h: float) -> float:
    """Peak [°C] at which a plain ramp brings a cone down, without a hold.

    >>> round(top_of_ramp_c(30, 60.0), 1), round(top_of_ramp_c(30, 150.0), 1)
    (1220.3, 1244.0)
    """
    cones = up_to(order)
    rate = np.array([rate_c_per_h])
    ends = [end_point_c(*one, rate)[0] for one in zip(cones.end_60_c, cones.b_k, strict=True)]
    return float(max(ends))


def bending_at(cones: Kinetics, rate_c_per_h: float, peak_c: float, hold_min: float) -> Array:
    rise = Piece(ROOM_C, peak_c, (peak_c - ROOM_C) / rate_c_per_h)
    return bending_of_pieces(cones, [rise, Piece(peak_c, peak_c, hold_min / 60)])


def hold_by_table_min(order: int, rate_c_per_h: float, peak_c: float) -> float:
    """Minutes at `peak_c` after a ramp until a cone and all cooler ones are down, by the table's model."""
    cones = up_to(order)
    missing = (1 - bending_at(cones, rate_c_per_h, peak_c, 0.0)).clip(0)
    return float((missing / bending_per_h(cones, np.array(peak_c))).max() * 60)


def hold_for(order: int, rate_c_per_h: float, peak_c: float) -> Estimate:
    """Minutes to hold at `peak_c` [°C], after a ramp of `rate_c_per_h` in the last 100 °C, for a cone.

    The value is the table's model; the interval reaches to the published rule.

    Raises
    ------
    OutOfReach : it would take more than a day
    ValueError : the cone is not in the ladder

    >>> found = hold_for(30, 60.0, 1186.0)   # from cone 5's end point to cone 6
    >>> round(found.value), round(found.high)
    (72, 161)
    """
    by_table = hold_by_table_min(order, rate_c_per_h, peak_c)
    if by_table > LONGEST_HOLD_MIN:
        words = f" brings cone {series.label_of(order)} down only after more than a day; fire hotter."
        raise OutOfReach(Notice("Holding at ", temp(peak_c), words))
    by_rule = hold_of_degrees(top_of_ramp_c(order, rate_c_per_h) - peak_c)
    return Estimate.spanning(by_table, by_rule, basis=BASIS)


def top_by_table_c(order: int, rate_c_per_h: float, hold_min: float) -> float:
    """Peak [°C] that brings a cone down with a hold, by the table's model: found by halving."""
    cones = up_to(order)
    cooler, hotter = COOLEST_TOP_C, HOTTEST_TOP_C
    while hotter - cooler > 0.005:
        middle = (cooler + hotter) / 2
        if bending_at(cones, rate_c_per_h, middle, hold_min).min() >= 1:
            hotter = middle
        else:
            cooler = middle
    return hotter


def top_for(order: int, rate_c_per_h: float, hold_min: float) -> Estimate:
    """Top temperature [°C] for a cone with a hold of so many minutes, after a ramp of `rate_c_per_h`.

    Raises
    ------
    ValueError : the cone is not in the ladder

    >>> found = top_for(30, 60.0, 20.0)
    >>> round(found.value, 1), round(found.high, 1)
    (1205.4, 1210.3)
    """
    by_rule = top_of_ramp_c(order, rate_c_per_h) - degrees_of_hold(hold_min)
    return Estimate.spanning(top_by_table_c(order, rate_c_per_h, hold_min), by_rule, basis=BASIS)


def worth_of_hold_c(order: int, rate_c_per_h: float, hold_min: float) -> Estimate:
    """Degrees of peak [°C] that a hold at a cone's end point is worth: as much more ramp would do the same.

    >>> found = worth_of_hold_c(30, 60.0, 20.0)
    >>> round(found.low, 1), round(found.high, 1)
    (10.0, 14.9)
    """
    place = place_of(order)
    cone = ladder().only(slice(place, place + 1))
    end_60_c, b_k = float(cone.end_60_c[0]), float(cone.b_k[0])
    end_c = float(end_point_c(end_60_c, b_k, np.array([rate_c_per_h]))[0])
    bent = float(bending_at(cone, rate_c_per_h, end_c, hold_min)[0])
    # A ramp slower by that factor bends the cone as far at its own end point.
    equal_c = float(end_point_c(end_60_c, b_k, np.array([rate_c_per_h * bent]))[0])
    return Estimate.spanning(equal_c - end_c, degrees_of_hold(hold_min), basis=BASIS)
