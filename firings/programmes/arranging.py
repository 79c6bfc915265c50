"""What a button of the editor does to the rows: add, remove, move, fill, other unit, from one line."""

from collections.abc import Sequence
from dataclasses import dataclass

from firings.programmes.rows import Row, added, in_unit, moved, rows_of, with_box, without
from firings.programmes.segments import Unit, UnreadableProgramme, read


@dataclass(frozen=True, slots=True)
class Arranged:
    """The rows after a button was pressed, their unit, the box to go on in, and what did not read."""

    rows: list[Row]
    unit: Unit
    focus: str = ""
    trouble: str = ""


def from_line(line: str, rows: Sequence[Row], unit: Unit) -> Arranged:
    """Rows from a programme in one line; those that are there stay where it does not read."""
    try:
        segments = read(line, unit=unit)
    except UnreadableProgramme as trouble:
        return Arranged(list(rows), unit, "line", str(trouble))
    return Arranged(rows_of(segments, unit), unit, "rate-1")


def neighbour(rows: Sequence[Row], key: str) -> str:
    """The row that takes the place of one that goes: the next, or the one before."""
    keys = [row.key for row in rows]
    if key not in keys:
        return keys[-1] if keys else ""
    place = keys.index(key)
    return (keys[place + 1 : place + 2] or keys[place - 1 : place] or [""])[0]


def moving(rows: Sequence[Row], key: str, step: int, unit: Unit) -> Arranged:
    """One row moved; at an end the hand goes on to the button that leads back."""
    order = moved(rows, key, step)
    at_end = order[0 if step < 0 else -1].key == key
    up = (step < 0) != at_end
    return Arranged(order, unit, f"{'up' if up else 'down'}-{key}")


def arranged(do: str, line: str, rows: Sequence[Row], unit: Unit) -> Arranged:
    """The rows after `do`: a verb, the key of a row, and what to fill in; anything else leaves them as they are.

    >>> arranged("hold 2 15", "", [Row("1", "60", "900"), Row("2", "60", "1222")], Unit.CELSIUS).rows[1].hold
    '15'
    """
    verb, key, figure = [*do.split(" ", 2), "", "", ""][:3]
    if verb == "add":
        more = added(rows)
        return Arranged(more, unit, f"rate-{more[-1].key}")
    if verb == "remove":
        left = without(rows, key)
        return Arranged(left, unit, f"target-{neighbour(rows, key) or left[-1].key}")
    if verb in ("up", "down") and rows:
        return moving(rows, key, -1 if verb == "up" else 1, unit)
    if verb in ("hold", "target"):
        return Arranged(with_box(rows, key, verb, figure[:40]), unit, f"{verb}-{key}")
    if verb == "unit" and key in list(Unit):
        return Arranged(in_unit(rows, unit, Unit(key)), Unit(key), f"unit-{key}")
    if verb == "line":
        return from_line(line, rows, unit)
    return Arranged(list(rows), unit)
