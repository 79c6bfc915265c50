"""One firing in spreadsheets shaped as loggers and people shape them; every name is invented."""

import io
from collections.abc import Callable
from datetime import datetime, timedelta

from openpyxl import Workbook
from openpyxl.utils import get_column_letter

from tests.firings.curves.shapes import Written, fahrenheit, rows, temps_at

BOOKS: dict[str, Callable[[], Written]] = {}
START = datetime(2026, 3, 2, 7, 30)


def book(make: Callable[[], Written]) -> Callable[[], Written]:
    BOOKS[make.__name__] = make
    return make


def saved(workbook: Workbook) -> bytes:
    file = io.BytesIO()
    workbook.save(file)
    return file.getvalue()


def one_sheet(lines: list[list[object]], formats: dict[int, str] | None = None) -> bytes:
    """A sheet of these rows; `formats` are number formats of columns, counted from one."""
    workbook = Workbook()
    sheet = workbook.active
    for line in lines:
        sheet.append(line)
    for place, mark in (formats or {}).items():
        for cell in sheet[get_column_letter(place)]:
            cell.number_format = mark
    return saved(workbook)


@book
def stamps_and_figures() -> Written:
    lines = [[START + timedelta(seconds=s), t] for s, t in rows()]
    return Written(one_sheet([["When", "Kiln °C"], *lines]), starts=START)


@book
def a_date_and_a_time_of_day_apart() -> Written:
    moments = [(START + timedelta(seconds=s), t) for s, t in rows()]
    lines = [[at.date(), at.time(), t] for at, t in moments]
    return Written(one_sheet([["Date", "Time", "Kiln °C"], *lines]), starts=START)


@book
def fractions_of_a_day_shown_as_a_clock_over_midnight() -> Written:
    lines = [[(0.875 + s / 86400) % 1, t] for s, t in rows()]
    return Written(one_sheet([["Time", "Kiln °C"], *lines], {1: "hh:mm:ss"}))


@book
def fractions_of_a_day_shown_as_elapsed_hours() -> Written:
    lines = [[0.9 + s / 86400, t] for s, t in rows()]
    return Written(one_sheet([["Elapsed", "Kiln °C"], *lines], {1: "[h]:mm:ss"}))


@book
def elapsed_beyond_a_day_in_a_clock_s_format() -> Written:
    lines = [[0.6 + s / 86400, t] for s, t in rows()]
    return Written(one_sheet([["Elapsed", "Kiln °C"], *lines], {1: "h:mm:ss"}))


@book
def days_as_plain_figures() -> Written:
    lines = [[46083.3125 + s / 86400, t] for s, t in rows()]
    return Written(one_sheet([["Time", "Kiln °C"], *lines]), starts=START)


@book
def hours_to_three_decimals() -> Written:
    # Figures such as 1.125 stand for themselves, never for a thousand.
    seconds = range(0, 57600, 450)
    lines = [[s / 3600, round(float(temps_at(s)), 3)] for s in seconds]
    return Written(one_sheet([["hours", "Kiln °C"], *lines]), step_s=450.0)


@book
def figures_typed_as_text_with_a_decimal_comma() -> Written:
    lines = [[f"{s / 60:.1f}".replace(".", ","), f"{t:.1f}".replace(".", ",")] for s, t in rows()]
    return Written(one_sheet([["Zeit (min)", "Ofen (°C)"], *lines]))


@book
def some_figures_typed_and_some_as_text() -> Written:
    lines = [[s / 60, f"{t:.1f}".replace(".", ",") if n % 3 else t] for n, (s, t) in enumerate(rows())]
    return Written(one_sheet([["min", "Ofen (°C)"], *lines]))


@book
def merged_headings_notes_and_a_table_that_begins_far_in() -> Written:
    workbook = Workbook()
    sheet = workbook.active
    sheet["C2"], sheet["C3"] = "Firing log, kiln Oriel", "Logged 2 March 2026; 15 min hold"
    sheet.merge_cells("C2:G2")
    sheet["E5"] = "Chamber"
    sheet.merge_cells("E5:F5")
    for place, name in zip("CDEF", ["No.", "min", "Upper", "Lower"], strict=True):
        sheet[f"{place}6"] = name
    for place, unit in zip("DEF", ["min", "°F", "°F"], strict=True):
        sheet[f"{place}7"] = unit
    for n, (s, t) in enumerate(rows()):
        for place, value in zip("CDEF", [n + 1, s / 60, fahrenheit(t + 6), fahrenheit(t - 6)], strict=True):
            sheet[f"{place}{n + 8}"] = value
    sheet["J4"] = "checked by M."
    return Written(saved(workbook), sensors=2, unit="°F")


@book
def several_sheets_of_which_one_is_the_log() -> Written:
    workbook = Workbook()
    workbook.active.title = "Notes"
    workbook.active.append(["Half full, damp day", 3])
    log = workbook.create_sheet("Log 2 March")
    log.append(["s", "Kiln °C"])
    for s, t in rows():
        log.append([s, t])
    workbook.create_sheet("Chart")
    return Written(saved(workbook), said="the sheet Log 2 March was taken")


@book
def a_short_log_before_the_long_one() -> Written:
    workbook = Workbook()
    workbook.active.title = "Test of the probe"
    workbook.active.append(["min", "Kiln °C"])
    for minute in range(60):
        workbook.active.append([minute, 20 + 8 * minute])
    log = workbook.create_sheet("Firing")
    log.append(["min", "Kiln °C"])
    for s, t in rows():
        log.append([s / 60, t])
    return Written(saved(workbook), said="Test of the probe would read as a curve too")


@book
def words_and_errors_where_readings_are_missing() -> Written:
    lines = [[s / 60, ["#N/A", "open", None][n % 3] if n % 11 == 5 else t] for n, (s, t) in enumerate(rows())]
    return Written(one_sheet([["min", "Kiln °C"], *lines]))


@book
def units_behind_figures_in_text() -> Written:
    lines = [[START + timedelta(seconds=s), f"{fahrenheit(t):.1f} °F"] for s, t in rows()]
    return Written(one_sheet([["When", "Reading"], *lines]), unit="°F", starts=START)


@book
def days_counted_from_1904() -> Written:
    workbook = Workbook()
    workbook.epoch = datetime(1904, 1, 1)
    workbook.active.append(["When", "Kiln °C"])
    for s, t in rows():
        workbook.active.append([START + timedelta(seconds=s), t])
    return Written(saved(workbook), starts=START)
