"""From the columns of time to seconds: what kind of clock it is and, where no unit is named, which fits a firing."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone

import numpy as np

from firings.curves.cells import Kind
from firings.curves.figures import Array
from firings.curves.roles import UNIT_SECONDS, time_unit_of, words_of
from firings.curves.stamps import DAY_S, days_of, stamps_of
from firings.curves.table import Column
from firings.curves.text import UnreadableCurve

# A firing lasts between these [h] and rises on average between these [°C/h]; what is outside is another unit.
SHORTEST_H, USUAL_H, LONGEST_H = 0.4, 11.0, 150.0
SLOWEST_C_PER_H, FASTEST_C_PER_H = 4.0, 3000.0

_EPOCH_S = (9e8, 4.2e9)
_EPOCH_MS = (9e11, 4.2e12)
_SHEET_DAYS = (30000.0, 80000.0)
_SHEET_EPOCH_DAYS = 25569.0
_INTERVAL = re.compile(
    r"(?:interval|sampl\w*|log\w*|record\w*|scan\w*|period|intervall|takt)[^\d\n]{0,25}?(\d+(?:[.,]\d+)?)\s*"
    r"(ms|sec(?:onds?)?|s|min(?:utes?)?|hours?|h)\b",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Clock:
    """Seconds of every row, not a number where unread, and how they were understood.

    `wall` says they are a wall clock's, `dated` that they have dates; then they are seconds since 1970, local or, with
    `zone_s`, of that offset. `guess` is what was assumed without being told; empty where nothing was.
    """

    seconds: Array
    base: str
    wall: bool = False
    dated: bool = False
    zone_s: float | None = None
    guess: str = ""

    def start(self, first_row: int) -> datetime | None:
        """When the log begins, at that row; without a zone it is the studio's own clock."""
        if not self.dated:
            return None
        begin = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=float(self.seconds[first_row]))
        if self.zone_s is None:
            return begin.replace(tzinfo=None)
        return begin.astimezone(timezone(timedelta(seconds=self.zone_s)))


def _carried_down(days: Array) -> Array:
    """Days where a row has none taken from the row above."""
    rows = np.where(np.isfinite(days), np.arange(len(days)), 0)
    return days[np.maximum.accumulate(rows)]


def _dated(days: Array, hours_s: Array, zone_s: Array, order: str, base: str) -> Clock:
    zones = zone_s[np.isfinite(zone_s)]
    if len(zones):
        offsets = np.where(np.isfinite(zone_s), zone_s, np.median(zones))
        return Clock(days * DAY_S + hours_s - offsets, base, dated=True, zone_s=float(zones[0]))
    guess = f"dates read with {order}" if order and not order.endswith("as told") else ""
    return Clock(days * DAY_S + hours_s, base, wall=True, dated=True, guess=guess)


def _by_stamps(column: Column, day_first: bool | None) -> Clock:
    stamps = stamps_of(column.texts)
    days = days_of(stamps, day_first=day_first)
    return _dated(days.days, stamps.hours_s, stamps.zone_s, days.order, "date and time")


def _by_date_and_clock(date: Column, clock: Column, day_first: bool | None) -> Clock:
    days = days_of(stamps_of(date.texts), day_first=day_first)
    stamps = stamps_of(clock.texts)
    return _dated(
        _carried_down(days.days), stamps.hours_s, stamps.zone_s, days.order, "a date and a time of day"
    )


def _duration_h(seconds: Array) -> float:
    known = seconds[np.isfinite(seconds)]
    return float(np.ptp(known)) / 3600 if len(known) else 0.0


def _mean_rise_c_per_h(seconds: Array, temps_c: Array) -> float:
    """From the coolest before the top to the top."""
    known = np.isfinite(seconds) & np.isfinite(temps_c)
    times, temps = seconds[known], temps_c[known]
    top = int(np.argmax(temps >= np.quantile(temps, 0.995)))
    coolest = int(np.argmin(temps[: top + 1]))
    hours = (times[top] - times[coolest]) / 3600
    return float((temps[top] - temps[coolest]) / hours) if hours > 0 else np.inf


def is_firing(seconds: Array, temps_c: Array) -> bool:
    """Whether the times suit a firing: neither minutes nor weeks, neither creeping nor leaping."""
    if not SHORTEST_H <= _duration_h(seconds) <= LONGEST_H:
        return False
    return SLOWEST_C_PER_H <= _mean_rise_c_per_h(seconds, temps_c) <= FASTEST_C_PER_H


def _by_clock(column: Column, temps_c: Array) -> Clock:
    seconds = stamps_of(column.texts).hours_s
    whole = Clock(seconds, "time of day or elapsed, hours and minutes", wall=True)
    words = words_of(column.name)
    short = Clock(seconds / 60, "elapsed, minutes and seconds")
    if words[-2:] == ["mm", "ss"] and "hh" not in words:
        return short
    rises = bool((np.diff(seconds[np.isfinite(seconds)]) >= 0).all())
    if rises and not is_firing(seconds, temps_c) and is_firing(seconds / 60, temps_c):
        guess = f"times taken as minutes and seconds, a firing of {_duration_h(seconds / 60):.1f} h"
        return Clock(seconds / 60, "elapsed, minutes and seconds", guess=guess)
    return whole


def _within(figures: Array, bounds: tuple[float, float]) -> bool:
    known = figures[np.isfinite(figures)]
    return len(known) > 0 and bounds[0] <= float(np.median(known)) <= bounds[1]


def _by_figures(column: Column, temps_c: Array, unit: str | None) -> Clock:
    figures = column.figures
    if unit:
        return Clock(figures * UNIT_SECONDS[unit], f"elapsed, in {unit}, as told")
    if _within(figures, _EPOCH_S):
        return Clock(figures, "seconds since 1970, UTC", dated=True, zone_s=0.0)
    if _within(figures, _EPOCH_MS):
        return Clock(figures / 1000, "milliseconds since 1970, UTC", dated=True, zone_s=0.0)
    if _within(figures, _SHEET_DAYS) and _duration_h(figures * DAY_S) <= LONGEST_H * 2:
        seconds: Array = (figures - _SHEET_EPOCH_DAYS) * DAY_S
        return Clock(seconds.round(2), "days as spreadsheets count them", wall=True, dated=True)
    if named := time_unit_of(column.name):
        return Clock(figures * UNIT_SECONDS[named], f"elapsed, in {named}, by its name")
    return _by_plausible_unit(column, temps_c)


def _by_plausible_unit(column: Column, temps_c: Array) -> Clock:
    """The unit in which the times suit a firing; always said, as no file named it."""
    able = [unit for unit in UNIT_SECONDS if is_firing(column.figures * UNIT_SECONDS[unit], temps_c)]
    if not able:
        raise UnreadableCurve(
            f"{column.name} names no unit of time and suits a firing in none; name it s, min or h in the heading."
        )

    def oddness(unit: str) -> float:
        return abs(np.log(_duration_h(column.figures * UNIT_SECONDS[unit]) / USUAL_H))

    best = min(able, key=oddness)
    hours = _duration_h(column.figures * UNIT_SECONDS[best])
    others = [
        f"{unit} would be {_duration_h(column.figures * UNIT_SECONDS[unit]):.1f} h"
        for unit in able
        if unit != best
    ]
    guess = f"no unit of time is named; taken as {best}, a firing of {hours:.1f} h"
    return Clock(
        column.figures * UNIT_SECONDS[best], f"elapsed, in {best}", guess="; ".join([guess, *others])
    )


def interval_s(preamble: Sequence[str]) -> float | None:
    """The time between readings that the lines above the table name.

    >>> interval_s(["Kiln 2", "Sample interval: 30 sec"])
    30.0
    """
    for line in preamble:
        if match := _INTERVAL.search(line):
            unit = {"m": "min", "h": "h"}.get(match[2][0].casefold(), "s")
            unit = "ms" if match[2].casefold() == "ms" else unit
            return float(match[1].replace(",", ".")) * UNIT_SECONDS[unit]
    return None


def _by_interval(counts: Array, preamble: Sequence[str], told_s: float | None) -> Clock:
    step_s = told_s or interval_s(preamble)
    if not step_s:
        raise UnreadableCurve(
            "The file has no column of times. Export the log with times, or say how often it was read."
        )
    words = "as told" if told_s else "as the file’s heading says"
    return Clock(counts * step_s, f"a reading every {step_s:g} s, {words}")


def clock_of(
    columns: Sequence[Column],
    temps_c: Array,
    *,
    counts: Array | None = None,
    preamble: Sequence[str] = (),
    unit: str | None = None,
    day_first: bool | None = None,
    every_s: float | None = None,
) -> Clock:
    """The time of every row from its columns: none, one, or a date and a clock.

    Parameters
    ----------
    columns : the columns of time
    temps_c : one sensor [°C], to tell which unit of time suits a firing
    counts : the rows' numbers, where they have any
    unit, day_first, every_s : a person's own choice

    Raises
    ------
    UnreadableCurve : no time, or a figure whose unit cannot be told
    """
    if not columns or every_s:
        numbered = np.arange(len(temps_c), dtype=float) if counts is None else counts
        return _by_interval(numbered, preamble, every_s)
    if len(columns) == 2:
        return _by_date_and_clock(columns[0], columns[1], day_first)
    column = columns[0]
    if column.kind is Kind.STAMP:
        return _by_stamps(column, day_first)
    if column.kind is Kind.CLOCK:
        return _by_clock(column, temps_c)
    if column.kind is Kind.FIGURE:
        return _by_figures(column, temps_c, unit)
    raise UnreadableCurve(f"{column.name} holds no times; choose another column.")
