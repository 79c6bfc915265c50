"""The cone a logged curve amounts to: at the end of the top, and with cooling shown apart, with its uncertainty."""

from dataclasses import dataclass, replace

import numpy as np

from firings.estimate import Estimate
from firings.heatwork import limits
from firings.heatwork.bending import (
    SECONDS_PER_H,
    UnfitCurve,
    check_curve,
    counted_part,
    hot_gaps,
    sum_in_parts,
    sum_of_curve,
)
from firings.heatwork.holdrule import degrees_of_hold
from firings.heatwork.kinetics import Array, Indices, bending_per_h, ladder
from firings.heatwork.ladder import Step, excess_c, number_at, step_at
from firings.heatwork.limits import LAST_PART_C
from firings.heatwork.top import SHOULDER_C, TOP_C, Top, hottest_firing, top_of
from firings.heatwork.uncertainty import MODEL_PM_C, Sensor, spread_of_cone_c
from firings.notice import Notice, apart, temp

# A hold shorter than this [min] is not told from the turn of a curve.
SHORTEST_HOLD_MIN = 3.0


@dataclass(frozen=True, slots=True)
class HeatWork:
    """Bending of every cone of the ladder up to the top, during it and after it, and how the top was.

    `unseen_less` and `unseen_more` are what gaps in the log may take from it or add to it.
    """

    rise: Array
    hold: Array
    cooling: Array
    peak_c: float
    held_min: float
    rate_c_per_h: float | None
    switched_off_s: float
    unseen_less: Array
    unseen_more: Array


@dataclass(frozen=True, slots=True)
class Excesses:
    """How far past its end point each cone is [°C], by each way of counting."""

    at_off: Array
    with_cooling: Array
    before_hold: Array
    less: Array
    more: Array


@dataclass(frozen=True, slots=True)
class Equivalent:
    """What a firing amounts to.

    `at_off` is the cone when the power went off, the firing's cone; `with_cooling` counts all that followed.
    `number` is the decimal cone with its interval, None where not even 019 is down. `peak_c` is with the
    sensor's correction.
    """

    at_off: Step
    with_cooling: Step
    number: Estimate | None
    peak_c: float
    held_min: float
    rate_c_per_h: float | None
    switched_off_s: float
    warnings: tuple[Notice, ...]


def rate_before(times_s: Array, temps_c: Array, first: int) -> float | None:
    """Mean rate [°C/h] over the last 100 °C below the top's beginning; None where the log begins later."""
    cooler = np.flatnonzero(temps_c[: first + 1] <= temps_c[first] - LAST_PART_C)
    if not len(cooler):
        return None
    last = slice(int(cooler[-1]), int(cooler[-1]) + 2)
    passed_s = np.interp(temps_c[first] - LAST_PART_C, temps_c[last], times_s[last])
    return float(LAST_PART_C * SECONDS_PER_H / (times_s[first] - passed_s))


def unseen(times_s: Array, temps_c: Array, gaps: Indices) -> tuple[Array, Array]:
    """What gaps may take or add: held at the cooler end all the time, or at the hotter one."""
    less, more = np.zeros(len(ladder())), np.zeros(len(ladder()))
    for gap in gaps:
        ends = slice(gap, gap + 2)
        drawn = sum_of_curve(ladder(), times_s[ends], temps_c[ends])
        hours = (times_s[gap + 1] - times_s[gap]) / SECONDS_PER_H
        less += drawn - bending_per_h(ladder(), temps_c[ends].min()) * hours
        more += bending_per_h(ladder(), temps_c[ends].max()) * hours - drawn
    return less.clip(0), more.clip(0)


def work_of(times_s: Array, temps_c: Array, top: Top, gaps: Indices) -> HeatWork:
    """The heat work of one firing whose top and gaps are known."""
    rise, hold, cooling = sum_in_parts(ladder(), times_s, temps_c, (top.first, top.last))
    less, more = unseen(times_s, temps_c, gaps[gaps < top.last])
    held_min = (times_s[top.last] - times_s[top.first]) / 60
    rate = rate_before(times_s, temps_c, top.first)
    off_s = float(times_s[top.last])
    return HeatWork(rise, hold, cooling, top.peak_c, float(held_min), rate, off_s, less, more)


def excesses(work: HeatWork) -> Excesses:
    """The excess of each cone, all ways of counting at once."""
    at_off = work.rise + work.hold
    ways = [at_off, at_off + work.cooling, work.rise, at_off - work.unseen_less, at_off + work.unseen_more]
    return Excesses(*excess_c(np.array(ways).clip(0)))


def number_of(work: HeatWork, found: Excesses, sensor: Sensor) -> Estimate | None:
    """The decimal cone when the power went off, with sensor, model, hold rule and gaps in its interval."""
    if step_at(found.at_off).number is None:
        return None
    ways = [found.at_off, found.less, found.more]
    basis = Notice(sensor.words(work.peak_c), "; model ±", apart(MODEL_PM_C, 1))
    if work.held_min >= SHORTEST_HOLD_MIN:
        ways.append(found.before_hold + degrees_of_hold(work.held_min))
        basis = Notice(basis, "; hold by the table’s model and by the published rule")
    spread = spread_of_cone_c(sensor, work.peak_c)
    bounds = [number_at(way + shift) for way in ways for shift in (-spread, spread)]
    return Estimate.spanning(number_at(found.at_off), *bounds, basis=basis)


def amount_of(work: HeatWork, sensor: Sensor) -> Equivalent:
    """What heat work amounts to, planned or logged, with the warnings both share."""
    found = excesses(work)
    at_off, with_cooling = step_at(found.at_off), step_at(found.with_cooling)
    words = [
        *limits.ladder_words(at_off),
        *limits.rate_words(work.rate_c_per_h),
        *limits.hold_words(work.held_min),
        *limits.cooling_words(at_off, with_cooling),
    ]
    number = number_of(work, found, sensor)
    return Equivalent(
        at_off,
        with_cooling,
        number,
        work.peak_c,
        work.held_min,
        work.rate_c_per_h,
        work.switched_off_s,
        tuple(words),
    )


def gap_words(times_s: Array, temps_c: Array, top: Top, gaps: Indices) -> list[Notice]:
    """Gaps in the hot part, and whether the top itself may lie in one."""
    words = []
    for gap in gaps:
        minutes = (times_s[gap + 1] - times_s[gap]) / 60
        ends = (temp(temps_c[gap]), " and ", temp(temps_c[gap + 1]))
        words.append(
            Notice(
                f"Nothing was logged for {minutes:.0f} min between ",
                *ends,
                "; a straight line is drawn across.",
            )
        )
        if gap <= top.last <= gap + 1:
            words.append(Notice("The top may lie in that gap: the cone is at least this."))
    return words


def log_words(times_s: Array, temps_c: Array, top: Top) -> list[Notice]:
    """What a log does not show of its top."""
    words = []
    if temps_c[-1] > top.peak_c - SHOULDER_C:
        words.append(Notice("The log ends at the top; what came after it is not counted."))
    near = slice(max(top.first - 2, 0), top.last + 3)
    step_s = float(np.median(np.diff(times_s[near])))
    if step_s > limits.COARSE_TOP_S:
        words.append(Notice(f"The top was logged every {step_s / 60:.0f} min only; its peak may be missed."))
    return words


def told_top(times_s: Array, temps_c: Array, switched_off_s: float | None) -> tuple[Top, list[Notice]]:
    """The top of a firing; where someone noted when the power went off, it ends there if that can be.

    It cannot be where the kiln was still well below its hottest point then, or had long been cooling: the logger's
    clock goes wrong, or the programme cooled the kiln with power.
    """
    top = top_of(times_s, temps_c)
    if switched_off_s is None:
        return top, []
    last = int(np.abs(times_s - switched_off_s).argmin())
    is_inside = times_s[0] <= switched_off_s <= times_s[-1]
    has_risen = temps_c[last:].max() <= temps_c[: last + 1].max() + TOP_C
    if is_inside and has_risen and temps_c[last] > top.peak_c - SHOULDER_C:
        return Top(min(top.first, last), last, top.peak_c), []
    words = "The time noted for switching off does not fit the log’s top; the end of the top was taken from the log."
    return top, [Notice(words)]


def equivalent(
    times_s: Array, temps_c: Array, *, sensor: Sensor | None = None, switched_off_s: float | None = None
) -> Equivalent:
    """The cone a logged curve amounts to.

    Parameters
    ----------
    times_s, temps_c : times [s], rising, and temperatures [°C] of one sensor; clean spikes out before
    sensor : how far it may be off, and its correction by the kiln's own witness cones
    switched_off_s : when the power went off [s], where it is known; else it is found in the curve

    Raises
    ------
    UnfitCurve : missing figures, a clock that goes back, fewer than two points

    >>> times = np.arange(0, 24 * 60.0) * 60
    >>> temps = np.interp(times / 3600, [0, 20, 20.25, 24], [22, 1222, 1222, 400])
    >>> found = equivalent(times, temps)
    >>> found.at_off.cone.label, round(found.at_off.toward_next, 2), round(found.held_min)
    ('6', 0.87, 15)
    """
    sensor = sensor or Sensor()
    times_s, temps_c = np.asarray(times_s, float), np.asarray(temps_c, float)
    if sensor.offset_c:
        temps_c = temps_c + sensor.offset_c
    check_curve(times_s, temps_c)
    firing, others = hottest_firing(temps_c)
    times_s, temps_c = times_s[firing], temps_c[firing]
    counted = counted_part(temps_c)
    times_s, temps_c = times_s[counted], temps_c[counted]
    if len(times_s) < 2:
        raise UnfitCurve("The hottest point stands alone; it is no firing.")
    top, told = told_top(times_s, temps_c, switched_off_s)
    gaps = hot_gaps(times_s, temps_c)
    found = amount_of(work_of(times_s, temps_c, top, gaps), sensor)
    others_words = [Notice("The log holds more than one firing; the hottest was read.")] if others else []
    words = [*told, *gap_words(times_s, temps_c, top, gaps), *log_words(times_s, temps_c, top)]
    return replace(found, warnings=(*others_words, *found.warnings, *words))
