"""One firing written the ways generic loggers and controllers write: every name is invented.

Each shape returns the file's bytes and what a reader must find in it.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone

import numpy as np

# The firing: 100 °C/h to 600, 150 °C/h to 1122, 60 °C/h to 1222, 15 min hold, cooled to 400 °C.
CORNERS_H = np.cumsum([0, 5.8, 3.48, 5 / 3, 0.25, 5.0])
CORNERS_C = np.array([20.0, 600.0, 1122.0, 1222.0, 1222.0, 400.0])
LENGTH_S = float(CORNERS_H[-1] * 3600)


@dataclass(frozen=True)
class Written:
    """A file and what must be found in it."""

    data: bytes
    sensors: int = 1
    unit: str = "°C"
    step_s: float = 60.0
    starts: datetime | None = None
    said: str = ""
    loss_c: float = 0.06


SHAPES: dict[str, Callable[[], Written]] = {}


def shape(make: Callable[[], Written]) -> Callable[[], Written]:
    SHAPES[make.__name__] = make
    return make


def temps_at(seconds: np.ndarray) -> np.ndarray:
    return np.interp(seconds, CORNERS_H * 3600, CORNERS_C)


def rows(step_s: float = 60.0) -> Iterator[tuple[float, float]]:
    seconds = np.arange(0, LENGTH_S, step_s)
    return zip(seconds.tolist(), temps_at(seconds).tolist(), strict=True)


def fahrenheit(temp_c: float) -> float:
    return temp_c * 1.8 + 32


def text(lines: list[str], encoding: str = "utf-8", end: str = "\n") -> bytes:
    return (end.join(lines) + end).encode(encoding)


def clock(seconds: float, start: str = "00:00:00") -> str:
    hours, minutes, rest = (int(part) for part in start.split(":"))
    total = round(seconds) + hours * 3600 + minutes * 60 + rest
    return f"{total // 3600 % 24:02}:{total // 60 % 60:02}:{total % 60:02}"


@shape
def seconds_and_celsius() -> Written:
    return Written(text(["time_s,temp_c", *(f"{s:.0f},{t:.1f}" for s, t in rows())]))


@shape
def minutes_by_semicolon_with_decimal_comma() -> Written:
    lines = ["Zeit (min);Ofen (°C)", *(f"{s / 60:.1f};{t:.1f}".replace(".", ",") for s, t in rows())]
    return Written(text(lines, "latin-1", "\r\n"))


@shape
def hours_by_tabs() -> Written:
    return Written(text(["hours\tkiln temperature °C", *(f"{s / 3600:.5f}\t{t:.2f}" for s, t in rows())]))


@shape
def iso_stamps() -> Written:
    start = datetime(2026, 3, 2, 7, 30)
    lines = [f"{(start + timedelta(seconds=s)).isoformat()},{t:.1f}" for s, t in rows()]
    return Written(text(["timestamp,temperature_celsius", *lines]), starts=start)


@shape
def iso_stamps_with_zone_and_parts_of_seconds() -> Written:
    start = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)
    lines = [
        f"{(start + timedelta(seconds=s)).strftime('%Y-%m-%dT%H:%M:%S')}.250Z,{t:.1f}" for s, t in rows()
    ]
    return Written(text(["utc,temp C", *lines]), starts=start + timedelta(seconds=0.25))


@shape
def iso_stamps_through_the_clock_change_with_offsets() -> Written:
    def local(seconds: float) -> str:
        moment = datetime(2026, 3, 28, 20, 0, tzinfo=UTC) + timedelta(seconds=seconds)
        summer = moment >= datetime(2026, 3, 29, 1, 0, tzinfo=UTC)
        return moment.astimezone(timezone(timedelta(hours=2 if summer else 1))).isoformat()

    lines = [f"{local(s)};{t:.1f}" for s, t in rows()]
    start = datetime(2026, 3, 28, 20, 0, tzinfo=UTC)
    return Written(text(["when;probe 1 [°C]", *lines]), starts=start)


@shape
def american_stamps_in_fahrenheit() -> Written:
    start = datetime(2026, 3, 2, 19, 30)
    lines = [
        f"{(at := start + timedelta(seconds=s)).month}/{at.day}/{at.year} {at.strftime('%I:%M:%S %p').lstrip('0')},"
        f"{fahrenheit(t):.1f}"
        for s, t in rows()
    ]
    return Written(text(["Date Time,Kiln (°F)", *lines]), unit="°F", starts=start)


@shape
def day_first_stamps_by_slash() -> Written:
    start = datetime(2026, 2, 5, 19, 30)
    lines = [f"{(start + timedelta(seconds=s)).strftime('%d/%m/%Y %H:%M')};{t:.0f}" for s, t in rows()]
    return Written(text(["Date/Time;Temp °C", *lines]), starts=start, loss_c=0.6)


@shape
def dotted_dates_and_clock_apart() -> Written:
    start = datetime(2026, 2, 5, 19, 30)
    lines = [
        f"{(start + timedelta(seconds=s)).strftime('%d.%m.%Y;%H:%M:%S')};{t:.1f}".replace(".0;", ".0;")
        for s, t in rows()
    ]
    lines = [line[:20] + line[20:].replace(".", ",") for line in lines]
    return Written(text(["Datum;Uhrzeit;Temp. °C", *lines], "utf-8-sig"), starts=start)


@shape
def month_names() -> Written:
    start = datetime(2026, 3, 31, 19, 30)
    lines = [
        f'"{(start + timedelta(seconds=s)).strftime("%b %d, %Y %H:%M:%S")}","{t:.1f}"' for s, t in rows()
    ]
    return Written(text(['"Recorded","Chamber C"', *lines]), starts=start)


@shape
def clock_alone_over_midnight() -> Written:
    lines = [f"{clock(s, '21:15:00')},{t:.1f}" for s, t in rows()]
    return Written(text(["time,degC", *lines]))


@shape
def twelve_hour_clock_over_noon_and_midnight() -> Written:
    start = datetime(2026, 1, 1, 21, 15)
    lines = [f"{(start + timedelta(seconds=s)).strftime('%I:%M:%S %p')}\t{t:.1f}" for s, t in rows()]
    return Written(text(["Clock\tTemp (C)", *lines]))


@shape
def elapsed_beyond_a_day_as_hours_minutes_seconds() -> Written:
    lines = [f"{int(s // 3600) + 20}:{int(s // 60) % 60:02}:{int(s) % 60:02};{t:.1f}" for s, t in rows()]
    return Written(text(["elapsed hh:mm:ss;kiln °C", *lines]))


@shape
def elapsed_as_minutes_and_seconds() -> Written:
    lines = [f"{int(s // 60)}:{int(s) % 60:02},{t:.1f}" for s, t in rows(30.0)]
    return Written(text(["elapsed mm:ss,kiln °C", *lines]), step_s=30.0)


@shape
def elapsed_as_minutes_and_seconds_unsaid() -> Written:
    lines = [f"{int(s // 60)}:{int(s) % 60:02},{t:.1f}" for s, t in rows(30.0)]
    return Written(text(["elapsed,kiln °C", *lines]), step_s=30.0, said="minutes and seconds")


@shape
def seconds_since_1970() -> Written:
    start = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)
    lines = [f"{start.timestamp() + s:.0f},{t:.2f}" for s, t in rows()]
    return Written(text(["epoch,temp_c", *lines]), starts=start)


@shape
def milliseconds_since_1970() -> Written:
    start = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)
    lines = [f"{(start.timestamp() + s) * 1000:.0f};{t:.2f}" for s, t in rows()]
    return Written(text(["t;temp_c", *lines]), starts=start)


@shape
def days_of_a_spreadsheet() -> Written:
    start = datetime(2026, 3, 2, 7, 30)
    lines = [f"{46083.3125 + s / 86400:.9f}\t{t:.1f}" for s, t in rows()]
    return Written(text(["Time\tTop (°C)", *lines], "utf-16"), starts=start)


@shape
def heading_of_many_lines() -> Written:
    junk = [
        "Logger,QX-4 demo",
        "Serial,000123",
        "Started,2026-03-02 07:30",
        "Note,first glaze firing, half full",
        "",
        "Channel,1,2",
        "elapsed s,probe °C,case °C",
    ]
    lines = [f"{s:.0f},{t:.1f},{20 + t / 60:.1f}" for s, t in rows()]
    return Written(text([*junk, *lines]))


@shape
def names_and_units_in_two_rows() -> Written:
    lines = [f"{s / 60:.2f};{fahrenheit(t + 9):.1f};{fahrenheit(t - 9):.1f}" for s, t in rows()]
    return Written(text(["Time;Upper;Lower", "min;°F;°F", *lines]), sensors=2, unit="°F")


@shape
def no_names_at_all() -> Written:
    lines = [f"{s:.0f} {t:.1f}" for s, t in rows()]
    return Written(text(lines), said="no unit of time is named; taken as s")


@shape
def blanks_in_columns_with_comment_line() -> Written:
    lines = [f"{s / 60:10.1f}   {t:9.1f}" for s, t in rows()]
    return Written(text(["# minutes celsius", *lines]))


@shape
def set_point_output_and_segment_beside_the_sensor() -> Written:
    lines = [
        f"{s:.0f},{t:.0f},{t - 1.5:.1f},{min(100, 20 + s / 600):.0f},{int(s // 9000) + 1}" for s, t in rows()
    ]
    return Written(text(["sec,SP °C,PV °C,output %,segment", *lines]), loss_c=1.6)


@shape
def three_zones_in_fahrenheit_with_count_of_rows() -> Written:
    lines = [
        f"{n},{s / 60:.0f},{fahrenheit(t - 8):.0f},{fahrenheit(t):.0f},{fahrenheit(t + 11):.0f}"
        for n, (s, t) in enumerate(rows(), start=1)
    ]
    return Written(text(["No.,Minutes,TC1 (F),TC2 (F),TC3 (F)", *lines]), sensors=3, unit="°F", loss_c=0.4)


@shape
def fahrenheit_told_by_its_figures_alone() -> Written:
    lines = [f"{s / 60:.0f},{fahrenheit(t):.0f}" for s, t in rows()]
    return Written(text(["minute,kiln", *lines]), unit="°F", said="read as °F", loss_c=0.4)


@shape
def unit_behind_each_figure() -> Written:
    lines = [f"{clock(s)}\t{fahrenheit(t):.1f} °F" for s, t in rows()]
    return Written(text(["Time\tReading", *lines]), unit="°F")


@shape
def unit_in_the_heading() -> Written:
    lines = [f"{s:.0f};{fahrenheit(t):.1f}" for s, t in rows()]
    return Written(text(["Kiln: Oriel", "Temperature unit: F", "", "s;T1", *lines]), unit="°F")


@shape
def thousands_parted_by_a_comma_in_quotes() -> Written:
    lines = [f'"{s:.0f}","{t:,.0f}"' for s, t in rows()]
    return Written(text(['"seconds","temp °C"', *lines]), loss_c=0.6)


@shape
def thousands_parted_by_a_point() -> Written:
    lines = [
        f"{s / 60:.0f};{t:,.1f}".replace(",", "x").replace(".", ",").replace("x", ".") for s, t in rows()
    ]
    return Written(text(["Minuten;Ofen °C", *lines]))


@shape
def missing_rows_and_words_for_missing_readings() -> Written:
    lines = []
    for n, (s, t) in enumerate(rows()):
        if n % 17 == 3:
            continue
        lines.append(f"{s:.0f},{'----' if n % 11 == 5 else f'{t:.1f}'}")
    return Written(text(["s,kiln °C", *lines]), said="", step_s=60.0)


@shape
def blank_lines_repeated_names_and_a_last_line() -> Written:
    lines = [f"{s:.0f},{t:.1f}" for s, t in rows()]
    lines[400:400] = ["", "s,kiln °C", ""]
    lines.append("End of log after 972 readings")
    return Written(text(["s,kiln °C", *lines]), said="Left out: 1 line with")


@shape
def clock_set_back_in_autumn() -> Written:
    start = datetime(2026, 10, 24, 20, 0)

    def local(seconds: float) -> datetime:
        moment = start + timedelta(seconds=seconds)
        return moment - timedelta(hours=1) if moment >= datetime(2026, 10, 25, 3, 0) else moment

    lines = [f"{local(s).strftime('%Y-%m-%d %H:%M:%S')},{t:.1f}" for s, t in rows()]
    return Written(text(["local time,kiln °C", *lines]), starts=start, said="goes back by an hour")


@shape
def clock_put_forward_in_spring() -> Written:
    start = datetime(2026, 3, 28, 20, 0)

    def local(seconds: float) -> datetime:
        moment = start + timedelta(seconds=seconds)
        return moment + timedelta(hours=1) if moment >= datetime(2026, 3, 29, 2, 0) else moment

    lines = [f"{local(s).strftime('%Y-%m-%d %H:%M:%S')},{t:.1f}" for s, t in rows()]
    return Written(text(["local time,kiln °C", *lines]), starts=start, said="summer time")


@shape
def several_rows_a_minute_with_a_clock_to_the_minute() -> Written:
    lines = [f"{clock(s, '08:00:00')[:5]},{t:.1f}" for s, t in rows(15.0)]
    return Written(text(["time,kiln °C", *lines]), step_s=15.0, said="spread evenly", loss_c=0.1)


@shape
def date_in_the_first_row_of_each_day_only() -> Written:
    start, lines, day = datetime(2026, 2, 5, 19, 30), [], None
    for s, t in rows():
        at = start + timedelta(seconds=s)
        date = "" if at.date() == day else at.strftime("%Y-%m-%d")
        day = at.date()
        lines.append(f"{date},{at.strftime('%H:%M:%S')},{t:.1f}")
    return Written(text(["date,time,deg C", *lines]), starts=start)


@shape
def no_times_but_an_interval_in_the_heading() -> Written:
    lines = [f"{n},{t:.1f}" for n, (_, t) in enumerate(rows(), start=1)]
    return Written(text(["Recording interval: 60 sec", "sample,kiln °C", *lines]))


@shape
def trailing_commas_and_a_column_of_words() -> Written:
    lines = [f"{s:.0f},{t:.1f},{'heat' if s < 39000 else 'cool'},," for s, t in rows()]
    return Written(text(["s,kiln °C,state,,", *lines]))


@shape
def columns_swapped() -> Written:
    return Written(text(["temp °C|min", *(f"{t:.1f}|{s / 60:.1f}" for s, t in rows())]))


@shape
def newest_row_first() -> Written:
    start = datetime(2026, 2, 5, 21, 30)
    lines = [f"{(start + timedelta(seconds=s)).strftime('%Y-%m-%d %H:%M:%S')};{t:.1f}" for s, t in rows()]
    return Written(text(["When;Kiln °C", *lines[::-1]]), starts=start, said="newest row stands first")


@shape
def clock_alone_over_midnight_newest_first() -> Written:
    lines = [f"{clock(s, '21:15:00')},{t:.1f}" for s, t in rows()]
    return Written(text(["time,degC", *lines[::-1]]), said="newest row stands first")


@shape
def flue_beside_the_kiln() -> Written:
    lines = [f"{s:.0f},{t:.1f},{20 + t / 2:.1f}" for s, t in rows()]
    return Written(text(["s,Kiln °C,Flue °C", *lines]))
