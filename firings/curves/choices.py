"""What a person said about a file, as plain values that last, and what was confirmed for the kiln's next file."""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from firings.curves.reading import Choice, Reading
from firings.curves.table import table_of
from firings.curves.text import UnreadableCurve, decoded
from firings.programmes.segments import Unit

# Lines that tell a file's columns.
HEAD_BYTES = 40_000
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


def _head(data: bytes) -> str:
    """The file's first lines; a line cut in two is left out."""
    text = decoded(data[:HEAD_BYTES]).text
    return text if len(data) <= HEAD_BYTES else text.rpartition("\n")[0]


def first_lines(data: bytes) -> list[str]:
    """How the file begins, for a person to look at; nothing where it is no text."""
    try:
        lines = _head(data).split("\n")[:FIRST_LINES]
    except UnreadableCurve:
        return []
    return [line[:LONGEST_LINE] for line in lines if line.strip()]


def column_names(data: bytes, choice: Choice) -> list[str]:
    """The names of a file's columns, from its first lines; none where no table is found."""
    told = {"decimal": choice.decimal, "header_rows": choice.header_rows}
    try:
        return [column.name for column in table_of(_head(data), choice.separator, **told).columns]  # type: ignore[arg-type]
    except UnreadableCurve:
        return []


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
        sensors=_places(reading, "temperature") or choice.sensors,
        unit=units.pop() if len(units) == 1 else choice.unit,
    )


def fits_again(remembered: dict[str, Any], names: Sequence[str]) -> bool:
    """Whether a remembered reading belongs to a file with these columns."""
    return bool(names) and remembered.get("columns") == list(names)
