"""One way to tell a value, whichever database it came from, so that two places can be compared."""

import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any


@dataclass(frozen=True, slots=True)
class Fingerprint:
    """How many rows a table has, and a SHA-256 over all of them in the order of their keys."""

    count: int
    sha256: str


def fingerprint(rows: Iterable[Sequence[Any]]) -> Fingerprint:
    """Of rows in an order that both places give."""
    digest, count = hashlib.sha256(), 0
    for row in rows:
        digest.update("\x1f".join(map(told, row)).encode() + b"\x1e")
        count += 1
    return Fingerprint(count, digest.hexdigest())


def told(value: Any) -> str:
    """A value as text; equal values give equal texts.

    >>> told(Decimal("1.50")) == told(Decimal("1.5")), told(None) == told("")
    (True, False)
    """
    match value:
        case None:
            return "\x00"
        case bool() | int():
            return str(int(value))
        case Decimal():
            return format(value.normalize(), "f")
        case datetime():
            return value.astimezone(UTC).isoformat() if value.tzinfo else value.isoformat()
        case date():
            return value.isoformat()
        case bytes() | bytearray() | memoryview():
            return hashlib.sha256(bytes(value)).hexdigest()
        case dict() | list():
            return json.dumps(value, sort_keys=True)
    return repr(value) if isinstance(value, float) else str(value)
