"""What a person said about a file, as plain values that last, and what was confirmed for the kiln's next file."""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from firings.curves.reading import Choice, Reading
from firings.curves.sheets import SEPARATOR, in_view, named, written_out
from firings.curves.table import table_of
from firings.curves.text import UnreadableCurve, decoded
from firings.curves.workbook import Sheet, is_workbook, sheets_of
from firings.programmes.segments import Unit

# Lines that tell a file's columns.
HEAD_BYTES = 40_000
FIRST_ROWS = 300
FIRST_LINES = 8
LONGEST_LINE = 160


def plain_choice(choice: Choice) -> dict[str, Any]:
    """For JSON: only what was said.

    >>> plain_choice(Choice(unit=Unit.FAHRENHEIT, sensors=(1, 2)))
    {'sensors': [1, 2], 'unit': 'F'}
    """
    said = {name: value for name, value in asdict(choice).items() if value is not None}
    return {
        name: list(value) if isinstance(value, tuple) else value.value if isinstance(value, Unit) else value
        for name, value in said.items()
    }


def choice_from(plain: dict[str, Any]) -> Choice:
    """The choice again; names it does not know are passed over.

    >>> choice_from({"sensors": [1, 2], "unit": "F"}) == Choice(unit=Unit.FAHRENHEIT, sensors=(1, 2))
    True
    """
    known = {name: value for name, value in plain.items() if name in Choice.__dataclass_fields__}
    for name in ("time", "sensors"):
        if known.get(name) is not None:
            known[name] = tuple(known[name])
    if known.get("unit"):
        known["unit"] = Unit(known["unit"])
    return Choice(**known)


def _head(data: bytes, sheet: str | None = None) -> str:
    """The file's first lines; a line cut in two is left out. Of several sheets the one with most rows of a table."""
    if is_workbook(data):
        return _head_of_sheets(sheets_of(data, FIRST_ROWS), sheet)
    text = decoded(data[:HEAD_BYTES]).text
    return text if len(data) <= HEAD_BYTES else text.rpartition("\n")[0]


def _head_of_sheets(sheets: Sequence[Sheet], name: str | None) -> str:
    heads = [written_out(one).text for one in ([named(sheets, name)] if name else in_view(sheets))]
    return max(heads, key=_rows_in)


def _rows_in(head: str) -> int:
    """How many rows of a table there are; nought where there is none."""
    try:
        return table_of(head, SEPARATOR).rows
    except UnreadableCurve:
        return 0


def first_lines(data: bytes, sheet: str | None = None) -> list[str]:
    """How the file, or a sheet of it, begins, for a person to look at; nothing where it is no text."""
    try:
        lines = _head(data, sheet).split("\n")[:FIRST_LINES]
    except UnreadableCurve:
        return []
    return [line[:LONGEST_LINE] for line in lines if line.strip()]


def sheet_names(data: bytes) -> list[str]:
    """The sheets of a spreadsheet; none where the file is none."""
    if not is_workbook(data):
        return []
    try:
        return [sheet.name for sheet in sheets_of(data, most_rows=1)]
    except UnreadableCurve:
        return []


def column_names(data: bytes, choice: Choice) -> list[str]:
    """The names of a file's columns, from its first lines; none where no table is found."""
    separator = SEPARATOR if is_workbook(data) else choice.separator
    try:
        head = _head(data, choice.sheet)
        table = table_of(head, separator, decimal=choice.decimal, header_rows=choice.header_rows)
    except UnreadableCurve:
        return []
    return [column.name for column in table.columns]


def _places(reading: Reading, role: str) -> tuple[int, ...]:
    columns = reading.read_as.columns
    return tuple(place for place, column in enumerate(columns) if column["role"].startswith(role))


def confirmed(reading: Reading, choice: Choice) -> Choice:
    """What a person has confirmed by keeping a reading: the columns and the unit are told from then on."""
    units = {sensor.scale.unit for sensor in reading.sensors}
    time = _places(reading, "time")
    return Choice(
        separator=choice.separator,
        decimal=choice.decimal,
        header_rows=choice.header_rows,
        time=choice.time if choice.time is not None else time or None,
        time_unit=choice.time_unit,
        every_s=choice.every_s,
        day_first=choice.day_first,
        sheet=choice.sheet or (reading.read_as.sheet if len(reading.read_as.sheets) > 1 else None),
        sensors=_places(reading, "temperature") or choice.sensors,
        unit=units.pop() if len(units) == 1 else choice.unit,
    )


def fits_again(remembered: dict[str, Any], names: Sequence[str]) -> bool:
    """Whether a remembered reading belongs to a file with these columns."""
    return bool(names) and remembered.get("columns") == list(names)
