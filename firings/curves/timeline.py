"""Times that rise: midnights, clock changes, rows out of order, several rows with one time, all said in words."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from firings.curves.figures import Array
from firings.curves.stamps import DAY_S
from firings.curves.text import UnreadableCurve
from firings.words import counted

HOUR_S = 3600.0
# Share of rows that may be out of order and are sorted in; with more the file holds several logs.
SORTED_IN_SHARE = 0.02
# With more than this share of steps going back, the newest row stands first.
NEWEST_FIRST_SHARE = 0.9
# With this share of rows sharing their time, the clock is coarse and they are spread; with less they are doubles.
COARSE_SHARE = 0.2
# Rows of one time that differ by more than this [°C] from both neighbours' mean are not one sensor's.
ZIGZAG_C = 4.0
# A clock without dates that goes back has passed midnight if the gap is shorter than this [s]; else it starts over.
LONGEST_NIGHT_GAP_S = 6 * HOUR_S


@dataclass(slots=True)
class Timeline:
    """Seconds of the rows that are kept, their places among all rows, and what was done to them."""

    seconds: Array
    rows: NDArray[np.intp]
    words: list[str] = field(default_factory=list)

    def keep(self, chosen: NDArray[np.bool_] | NDArray[np.intp]) -> None:
        self.seconds, self.rows = self.seconds[chosen], self.rows[chosen]


def _usual_step(seconds: Array) -> float:
    steps = np.diff(seconds)
    ahead = steps[steps > 0]
    return float(np.median(ahead)) if len(ahead) else 1.0


def _shift(line: Timeline, places: NDArray[np.intp], seconds: float) -> None:
    """Add so many seconds from each of the places on."""
    steps = np.zeros(len(line.seconds))
    np.add.at(steps, places + 1, seconds)
    line.seconds = line.seconds + np.cumsum(steps)


def leave_out_unread(line: Timeline) -> None:
    read = np.isfinite(line.seconds)
    if read.all():
        return
    missing = int((~read).sum())
    if missing > len(read) / 2:
        raise UnreadableCurve(
            "Most rows have no time that can be read. Export the log with a time in every row."
        )
    line.keep(read)
    line.words.append(f"Left out: {counted(missing, 'row')} without a time that can be read.")


def turn_round(line: Timeline) -> None:
    """Some loggers write the newest row first."""
    steps = np.diff(line.seconds)
    if len(steps) and float((steps < 0).mean()) > NEWEST_FIRST_SHARE:
        line.keep(np.arange(len(line.seconds))[::-1])
        line.words.append("The newest row stands first; the rows were turned round.")


def pass_midnights(line: Timeline, *, dated: bool) -> None:
    """A clock that goes back by a day, or a twelve-hour clock by half a day, has gone on."""
    steps = np.diff(line.seconds)
    slack = max(10 * _usual_step(line.seconds), 600.0)
    back = np.abs(steps + DAY_S) < slack if dated else (steps < 0) & (steps + DAY_S < LONGEST_NIGHT_GAP_S)
    if back.any():
        _shift(line, np.flatnonzero(back), DAY_S)
        if dated:
            line.words.append("The date stands still over midnight; a day was added there.")
    if dated or back.any():
        return
    half = np.abs(steps + DAY_S / 2) < slack
    if half.any() and line.seconds.max() < 13 * HOUR_S and line.seconds.min() >= HOUR_S:
        _shift(line, np.flatnonzero(half), DAY_S / 2)
        line.words.append(
            "The clock runs to twelve without am or pm; half a day was added where it goes back."
        )


def set_back_clock(line: Timeline) -> None:
    """In autumn the clock is set back by an hour while the log goes on."""
    steps = np.diff(line.seconds)
    usual = _usual_step(line.seconds)
    if usual > HOUR_S / 3:
        return
    back = np.flatnonzero(np.abs(steps + HOUR_S - usual) <= max(2 * usual, 60.0))
    if len(back) == 1:
        _shift(line, back, HOUR_S)
        line.words.append(
            "The clock goes back by an hour once, as at the end of summer time; the log was read on."
        )


def put_forward_clock(line: Timeline, temps: Array) -> None:
    """In spring the clock jumps an hour ahead; told from a gap by the temperature, which has not moved on."""
    steps = np.diff(line.seconds)
    usual = _usual_step(line.seconds)
    if usual > HOUR_S / 6 or len(steps) < 8:
        return
    ahead = np.flatnonzero(np.abs(steps - HOUR_S - usual) <= max(usual, 30.0))
    if len(ahead) != 1 or not 4 <= ahead[0] < len(steps) - 4:
        return
    at = int(ahead[0])
    hour_of_day = line.seconds[at] % DAY_S / HOUR_S
    if not 0.5 <= hour_of_day <= 3.1:
        return
    before, after = slice(max(0, at - 20), at + 1), slice(at + 1, at + 22)
    slopes = [np.polyfit(line.seconds[part], temps[part], 1)[0] for part in (before, after)]
    expected = float(np.mean(slopes)) * HOUR_S
    moved = float(temps[at + 1] - temps[at])
    if abs(expected) < 15 or not np.isfinite(expected + moved):
        line.words.append(
            "Nothing was logged for an hour at night; it may be the clock put forward. It is left as a gap."
        )
    elif abs(moved) < 0.3 * abs(expected):
        _shift(line, ahead, -HOUR_S)
        line.words.append(
            "The clock jumps an hour ahead but the temperature does not: summer time; the hour was taken out."
        )


def put_in_order(line: Timeline) -> None:
    """Sort a few late rows in; refuse a clock that starts over."""
    latest = np.maximum.accumulate(line.seconds)
    late = line.seconds < latest
    if not late.any():
        return
    count = int(late.sum())
    if count > max(2, SORTED_IN_SHARE * len(late)):
        row = int(late.argmax()) + 1
        raise UnreadableCurve(
            f"The clock starts over at row {row}: the file seems to hold several logs. Cut it into one file for each."
        )
    line.keep(np.argsort(line.seconds, kind="stable"))
    line.words.append(f"Put in their place: {counted(count, 'row')} out of order.")


def _refuse_sensors_in_turn(temps: Array) -> None:
    """Rows of one time that zigzag are several sensors written in turn into one column."""
    off_c = np.abs(temps[1:-1] - (temps[:-2] + temps[2:]) / 2)
    if len(off_c) and np.nanmedian(off_c) > ZIGZAG_C:
        raise UnreadableCurve(
            "Rows of one time differ in temperature: several sensors seem to share a column. "
            "Export the log with a column for each sensor."
        )


def part_doubles(line: Timeline, temps: Array) -> None:
    """Spread rows that share their time where the clock is coarse; else keep the first of each."""
    same = np.diff(line.seconds) == 0
    if not same.any():
        return
    share = float(same.mean())
    if share < COARSE_SHARE:
        line.keep(np.append(True, ~same))
        line.words.append(f"Left out: {counted(int(same.sum()), 'row')} with the time of the row before.")
        return
    _refuse_sensors_in_turn(temps)
    starts = np.flatnonzero(np.append(True, ~same))
    if len(starts) < 3:
        raise UnreadableCurve("The times hardly change; export the log with the time to the second.")
    counts = np.diff(np.append(starts, len(line.seconds)))
    steps = np.diff(line.seconds[starts])
    # Into a gap the rows of one time do not reach.
    usual = float(np.median(steps))
    steps = np.append(np.minimum(steps, usual), usual)
    within = np.arange(len(line.seconds)) - np.repeat(starts, counts)
    line.seconds = line.seconds + within * np.repeat(steps / counts, counts)
    line.words.append("Several rows share one time; they were spread evenly up to the next.")


def timeline_of(seconds: Array, temps: Array, *, clock: bool, dated: bool) -> Timeline:
    """Rising times of the rows that can be used.

    Parameters
    ----------
    seconds, temps : time [s] and one temperature of every row, not a number where missing
    clock : the times are a wall clock's, with midnights and clock changes; `dated` : with dates

    Raises
    ------
    UnreadableCurve : most rows have no time, or the clock starts over
    """
    line = Timeline(seconds, np.arange(len(seconds)))
    leave_out_unread(line)
    turn_round(line)
    if clock:
        pass_midnights(line, dated=dated)
        set_back_clock(line)
        put_forward_clock(line, temps[line.rows])
    put_in_order(line)
    part_doubles(line, temps[line.rows])
    if len(line.seconds) < 2:
        raise UnreadableCurve("A curve needs two readings or more.")
    return line
