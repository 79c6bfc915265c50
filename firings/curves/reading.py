"""Any logger's file as times and temperatures, with how it was read: nothing is guessed without being said."""

from collections import Counter
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

import numpy as np

from firings.curves.clock import Clock, clock_of, is_firing
from firings.curves.figures import Array
from firings.curves.roles import COOLEST_TOP_C, Roles, count_of_rows, roles_of
from firings.curves.sheets import SEPARATOR, SPREADSHEET, log_among, named, written_out
from firings.curves.table import SEPARATORS, Column, Table, table_of
from firings.curves.text import Text, UnreadableCurve, decoded
from firings.curves.timeline import timeline_of
from firings.curves.together import middle
from firings.curves.units import (
    Scale,
    check_top,
    guessed,
    refuse_kelvin,
    unit_in,
    unit_of_cells,
    unit_of_heading,
)
from firings.curves.workbook import Sheet, is_workbook, sheets_of
from firings.notice import Notice, temp
from firings.programmes.segments import Unit
from firings.words import counted

# A gap shorter than this [s] goes without saying.
LEAST_GAP_S = 900.0


@dataclass(frozen=True, slots=True)
class Choice:
    """What a person said about a file; None is left to the reading. Columns are counted from nought.

    `decimal` is "," or "."; `header_rows` how many lines stand before the first row of figures.
    """

    separator: str | None = None
    decimal: str | None = None
    header_rows: int | None = None
    time: tuple[int, ...] | None = None
    time_unit: str | None = None
    every_s: float | None = None
    day_first: bool | None = None
    sheet: str | None = None
    sensors: tuple[int, ...] | None = None
    unit: Unit | None = None


@dataclass(frozen=True, slots=True)
class SensorCurve:
    """One sensor: temperatures [°C] as logged, spikes and all, not a number where missing."""

    name: str
    temps_c: Array
    scale: Scale


@dataclass(frozen=True, slots=True)
class ReadAs:
    """How a file was understood, in words and plain values."""

    encoding: str
    separator: str
    decimal: str
    columns: list[dict[str, str]]
    unit: str
    time_base: str
    rows: int
    guesses: list[str] = field(default_factory=list)
    # Of a spreadsheet: the sheet that was read, and all that hold cells.
    sheet: str = ""
    sheets: list[str] = field(default_factory=list)

    def named(self, role: str) -> list[str]:
        """The columns of a role, which it begins with."""
        return [column["name"] for column in self.columns if column["role"].startswith(role)]

    def plain(self) -> dict[str, Any]:
        """For JSON."""
        return {
            "encoding": self.encoding,
            "separator": self.separator,
            "decimal": self.decimal,
            "columns": self.columns,
            "unit": self.unit,
            "time_base": self.time_base,
            "rows": self.rows,
            "guesses": self.guesses,
            "sheet": self.sheet,
            "sheets": self.sheets,
        }


@dataclass(frozen=True, slots=True)
class Reading:
    """A curve as read: times from the first reading [s], rising, and the sensors' temperatures [°C]."""

    times_s: Array
    sensors: tuple[SensorCurve, ...]
    started_at: datetime | None
    read_as: ReadAs
    warnings: tuple[str, ...]

    def by_name(self) -> dict[str, Array]:
        return {sensor.name: sensor.temps_c for sensor in self.sensors}


def _scale_of(column: Column, heading: list[str], told: Unit | None) -> Scale:
    """The unit of a sensor: told by a person, its name, its cells or the heading; else guessed."""
    if told:
        return Scale(told, "as told")
    refuse_kelvin(column.name, column.sample)
    if unit := unit_in(column.name):
        return Scale(unit, "by its name")
    if unit := unit_of_cells(column.sample):
        return Scale(unit, "by its cells")
    if unit := unit_of_heading(heading):
        return Scale(unit, "by the heading")
    return guessed(column.figures)


def _shared_scale(scales: list[Scale]) -> list[Scale]:
    """Sensors of one file share a unit: one that names it speaks for those that do not, and °F for a doubtful °C."""
    named = {scale.unit for scale in scales if not scale.guess}
    if len(named) == 1:
        return [Scale(next(iter(named)), "as the others") if scale.guess else scale for scale in scales]
    hottest = next((scale for scale in scales if scale.guess and scale.unit is Unit.FAHRENHEIT), None)
    return [hottest if hottest and scale.guess else scale for scale in scales]


def _unlike_names(columns: list[Column]) -> list[str]:
    """The sensors' names, told apart where two are alike."""
    counts = Counter(column.name for column in columns)
    seen: Counter[str] = Counter()
    names = []
    for column in columns:
        seen[column.name] += 1
        names.append(f"{column.name} {seen[column.name]}" if counts[column.name] > 1 else column.name)
    return names


def _column_words(table: Table, roles: Roles, sensors: list[SensorCurve]) -> list[dict[str, str]]:
    """Every column with its role."""
    scales = dict(zip(roles.sensors, sensors, strict=True))
    found = []
    for place, column in enumerate(table.columns):
        if place in scales:
            scale = scales[place].scale
            role = f"temperature, °{scale.unit}, {scale.basis}"
        else:
            role = "time" if place in roles.time else f"left out: {roles.left_out.get(place, 'not needed')}"
        found.append({"name": column.name, "role": role})
    return found


def _comma_words(table: Table, roles: Roles) -> list[str]:
    """A doubt where commas part fields and a column of small whole figures follows a sensor of whole figures."""
    if table.separator != "," or table.header:
        return []
    for place in roles.sensors:
        if place + 1 >= len(table.columns) or place + 1 in (*roles.time, *roles.sensors):
            continue
        here, beside = table.columns[place].figures, table.columns[place + 1].figures
        both = np.concatenate([here[np.isfinite(here)], beside])
        if len(beside) and np.isfinite(beside).all() and (both == np.round(both)).all():
            return ["If commas are decimal marks here too, the decimals were left out: look at the columns."]
    return []


def _line_words(table: Table) -> list[str]:
    words = []
    if table.odd_lines:
        words.append(f"Left out: {counted(table.odd_lines, 'line')} with another number of fields.")
    if not table.header:
        words.append("The columns have no names.")
    return words


def _sensors(table: Table, roles: Roles, told: Unit | None) -> list[SensorCurve]:
    columns = [table.columns[place] for place in roles.sensors]
    scales = _shared_scale([_scale_of(column, table.preamble, told) for column in columns])
    for column, scale in zip(columns, scales, strict=True):
        check_top(column.name, scale, column.figures)
    named = zip(_unlike_names(columns), columns, scales, strict=True)
    return [SensorCurve(name, scale.celsius(column.figures), scale) for name, column, scale in named]


def _clock(table: Table, roles: Roles, temps_c: Array, choice: Choice) -> Clock:
    return clock_of(
        [table.columns[place] for place in roles.time],
        temps_c,
        counts=count_of_rows(table.columns),
        preamble=table.preamble,
        unit=choice.time_unit,
        day_first=choice.day_first,
        every_s=choice.every_s,
    )


def _gap_words(times_s: Array) -> list[str]:
    """The longest gap, where it is long for this log."""
    steps = np.diff(times_s)
    longest = int(np.argmax(steps))
    if steps[longest] <= max(LEAST_GAP_S, 20 * float(np.median(steps))):
        return []
    at, hours = times_s[longest] / 3600, steps[longest] / 3600
    return [f"Nothing was logged for {hours:.1f} h, from {at:.1f} h after the beginning."]


def _length_words(times_s: Array, temps_c: Array) -> list[str]:
    if is_firing(times_s, temps_c):
        return []
    hours = float(times_s[-1]) / 3600
    return [f"As read, the log lasts {hours:.2f} h; that is no usual firing: check the unit of time."]


def _decimal_words(encoding: str, table: Table, roles: Roles) -> str:
    if encoding == SPREADSHEET:
        return "as the cells hold it"
    commas = any(table.columns[place].marks.decimal == "," for place in roles.sensors)
    return "comma" if commas else "point"


def _read_as(encoding: str, table: Table, roles: Roles, sensors: list[SensorCurve], clock: Clock) -> ReadAs:
    told = [(one.name, one.scale.guess) for one in sensors if one.scale.guess]
    units = [f"{name}: {guess}" if len(sensors) > 1 else guess for name, guess in told]
    guesses = dict.fromkeys((clock.guess, *units))
    return ReadAs(
        encoding=encoding,
        separator="cells"
        if encoding == SPREADSHEET
        else SEPARATORS.get(table.separator, repr(table.separator)),
        decimal=_decimal_words(encoding, table, roles),
        columns=_column_words(table, roles, sensors),
        unit=" and ".join(sorted({f"°{one.scale.unit}" for one in sensors})),
        time_base=clock.base,
        rows=table.rows,
        guesses=[guess for guess in guesses if guess],
    )


def _check_heat(temps_c: Array) -> None:
    if not np.nanquantile(temps_c, 0.995) >= COOLEST_TOP_C:
        raise UnreadableCurve(Notice("The log never gets above ", temp(COOLEST_TOP_C), "; it is no firing."))


def _read_text(text: Text, choice: Choice) -> Reading:
    table = table_of(text.text, choice.separator, decimal=choice.decimal, header_rows=choice.header_rows)
    roles = roles_of(table, time=choice.time, sensors=choice.sensors)
    sensors = _sensors(table, roles, choice.unit)
    temps_c = middle([one.temps_c for one in sensors])
    _check_heat(temps_c)
    clock = _clock(table, roles, temps_c, choice)
    line = timeline_of(clock.seconds, temps_c, clock=clock.wall, dated=clock.dated)
    times_s = line.seconds - line.seconds[0]
    read_as = _read_as(text.encoding, table, roles, sensors, clock)
    words = [*_line_words(table), *line.words, *read_as.guesses, *_comma_words(table, roles)]
    words += [*_gap_words(times_s), *_length_words(times_s, temps_c[line.rows])]
    kept = tuple(SensorCurve(one.name, one.temps_c[line.rows], one.scale) for one in sensors)
    return Reading(times_s, kept, clock.start(int(line.rows[0])), read_as, tuple(words))


def _read_sheet(sheet: Sheet, choice: Choice) -> Reading:
    return _read_text(written_out(sheet, choice.decimal), replace(choice, separator=SEPARATOR, decimal=None))


def _read_workbook(data: bytes, choice: Choice) -> Reading:
    sheets = sheets_of(data)
    tried = sheets if choice.sheet is None else [named(sheets, choice.sheet)]
    found = log_among(tried, lambda sheet: _read_sheet(sheet, choice), lambda reading: reading.read_as.rows)
    guesses = [*found.guesses, *found.read.read_as.guesses]
    read_as = replace(
        found.read.read_as, guesses=guesses, sheet=found.sheet.name, sheets=[sheet.name for sheet in sheets]
    )
    return replace(found.read, read_as=read_as, warnings=(*found.guesses, *found.words, *found.read.warnings))


def read(data: bytes, choice: Choice | None = None) -> Reading:
    """A logger's file as a curve.

    Parameters
    ----------
    data : the file's bytes: CSV or text with any separator, encoding, decimal mark and heading, or an .xlsx spreadsheet
    choice : what a person said about it

    Raises
    ------
    UnreadableCurve : no curve we can be sure of; the message says why and what to do
    """
    choice = choice or Choice()
    return _read_workbook(data, choice) if is_workbook(data) else _read_text(decoded(data), choice)
