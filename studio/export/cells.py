"""One value as one cell of a CSV file, and back, by its kind in a table schema (Frictionless Table Schema 1.0).

Text that a spreadsheet would run as a formula gets an apostrophe before it, and so does text that begins with one:
reading takes exactly one away, so that nothing is lost on the way back. An empty cell is no value.
"""

import base64
import binascii
import json
from collections.abc import Callable
from datetime import UTC, date, datetime
from decimal import Decimal, InvalidOperation
from typing import Any

# What spreadsheets take for the beginning of a formula (OWASP, "CSV injection"), and the apostrophe itself.
RUNS = ("=", "+", "-", "@", "\t", "\r", "\n", "'")

Reader = Callable[[str], Any]


def inert(text: str) -> str:
    """Text that no spreadsheet runs.

    >>> inert("=1+1"), inert("Harbour"), inert("'quoted'")
    ("'=1+1", 'Harbour', "''quoted'")
    """
    return f"'{text}" if text.startswith(RUNS) else text


def from_inert(cell: str) -> str:
    """The text behind a cell.

    >>> from_inert("'=1+1"), from_inert("Harbour")
    ('=1+1', 'Harbour')
    """
    return cell.removeprefix("'")


def cell(kind: str, value: Any) -> str:
    """A value as it is written."""
    if value is None:
        return ""
    match kind:
        case "string" | "any":
            return inert(value if kind == "string" else json.dumps(value, ensure_ascii=False, sort_keys=True))
        case "boolean":
            return "true" if value else "false"
        case "number":
            return format(value, "f") if isinstance(value, Decimal) else repr(value)
        case "datetime":
            return value.astimezone(UTC).isoformat().replace("+00:00", "Z")
        case "binary":
            return base64.b64encode(value).decode()
    return value.isoformat() if isinstance(value, date) else str(value)


def value(kind: str, written: str) -> Any:
    """The value of a cell; None where it is empty. Raises ValueError in words."""
    if written == "":
        return None
    try:
        return READERS[kind](written)
    except (ValueError, InvalidOperation, binascii.Error):
        raise ValueError(f"“{written[:40]}” is no {WORDS[kind]}") from None


def _boolean(written: str) -> bool:
    if written not in ("true", "false"):
        raise ValueError
    return written == "true"


def _number(written: str) -> Decimal | float:
    """A Decimal keeps what was written; the column makes a float of it where it holds floats."""
    found = Decimal(written)
    if not found.is_finite():
        raise ValueError
    return found


READERS: dict[str, Reader] = {
    "integer": int,
    "number": _number,
    "boolean": _boolean,
    "string": from_inert,
    "any": lambda written: json.loads(from_inert(written)),
    "date": date.fromisoformat,
    "datetime": datetime.fromisoformat,
    "binary": lambda written: base64.b64decode(written, validate=True),
}
WORDS = {
    "integer": "whole number",
    "number": "number",
    "boolean": "true or false",
    "string": "text",
    "any": "JSON",
    "date": "date such as 2026-11-25",
    "datetime": "moment such as 2026-11-25T20:00:00Z",
    "binary": "base64",
}
