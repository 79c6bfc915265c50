"""The rows of the editor: what a person types of each segment, kept as typed until it reads as a segment."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from firings.programmes.segments import (
    FASTEST_C_PER_H,
    HOTTEST_C,
    ROOM_C,
    Segment,
    Unit,
    UnreadableProgramme,
    celsius,
    read_minutes,
)
from firings.programmes.words import plain, rate_figure, temp_figure
from firings.units import read_figure

# More segments than any controller takes (common practice, no source); a bound, not a rule of the trade.
MOST_ROWS = 60
SLOWEST_C_PER_H = 0.1


@dataclass(frozen=True, slots=True)
class Row:
    """One segment as typed. `key` names its boxes and stays with it when it is moved."""

    key: str
    rate: str = ""
    target: str = ""
    hold: str = ""
    is_fast: bool = False

    @property
    def is_blank(self) -> bool:
        return not (self.rate.strip() or self.target.strip() or self.hold.strip() or self.is_fast)


@dataclass(frozen=True, slots=True)
class Trouble:
    """What does not read in a row: whose box it is (rate, target, hold), and what to do."""

    key: str
    box: str
    words: str


class _Unread(ValueError):
    """A box that does not read."""

    def __init__(self, box: str, words: str) -> None:
        super().__init__(words)
        self.box = box


def row_of(segment: Segment, key: str, unit: Unit) -> Row:
    """A segment as one would type it.

    >>> row_of(Segment(60.0, 1222.2, 10.0), "1", Unit.FAHRENHEIT)
    Row(key='1', rate='108', target='2232', hold='10', is_fast=False)
    """
    rate = "" if segment.rate_c_per_h is None else rate_figure(segment.rate_c_per_h, unit)
    hold = plain(segment.hold_min) if segment.hold_min else ""
    return Row(key, rate, temp_figure(segment.target_c, unit), hold, segment.rate_c_per_h is None)


def rows_of(segments: Sequence[Segment], unit: Unit) -> list[Row]:
    return [row_of(segment, str(number), unit) for number, segment in enumerate(segments, start=1)]


def _figure(text: str, box: str, missing: str) -> float:
    if not text.strip():
        raise _Unread(box, missing)
    try:
        return float(read_figure(text))
    except ValueError as trouble:
        raise _Unread(box, str(trouble)) from None


def _target_c(row: Row, from_c: float, unit: Unit) -> float:
    figure = _figure(row.target, "target", "Say to which temperature.")
    target_c = round(figure if unit is Unit.CELSIUS else celsius(figure), 1)
    if not 0 <= target_c <= HOTTEST_C:
        highest = temp_figure(HOTTEST_C, unit)
        raise _Unread(
            "target", f"{row.target.strip()} °{unit} is no temperature for a kiln; {highest} is the most."
        )
    if target_c == from_c:
        raise _Unread(
            "target", "The kiln is there already. To stay there, write minutes of hold on the segment before."
        )
    return target_c


def _rate_c_per_h(row: Row, *, falls: bool, unit: Unit) -> float | None:
    if row.is_fast:
        return None
    figure = _figure(row.rate, "rate", "Say how many degrees an hour, or tick as fast as possible.")
    if figure < 0 and not falls:
        raise _Unread("rate", "A falling rate does not lead up; write it without the minus.")
    rate = round(abs(figure) if unit is Unit.CELSIUS else abs(figure) / 1.8, 1)
    if not SLOWEST_C_PER_H <= rate <= FASTEST_C_PER_H:
        bounds = f"{rate_figure(SLOWEST_C_PER_H, unit)} to {rate_figure(FASTEST_C_PER_H, unit)}"
        raise _Unread("rate", f"Write {bounds} degrees an hour, or tick as fast as possible.")
    return rate


def _hold_min(row: Row) -> float:
    if not row.hold.strip():
        return 0.0
    try:
        minutes = read_minutes(row.hold)
    except UnreadableProgramme as trouble:
        raise _Unread("hold", str(trouble)[:1].upper() + str(trouble)[1:]) from None
    if minutes != round(minutes):
        raise _Unread("hold", "Write whole minutes.")
    return minutes


def _read_row(row: Row, from_c: float, unit: Unit) -> Segment:
    target_c = _target_c(row, from_c, unit)
    return Segment(_rate_c_per_h(row, falls=target_c < from_c, unit=unit), target_c, _hold_min(row))


def _likely_end_c(row: Row, from_c: float, unit: Unit) -> float:
    """Where a row that does not read most likely ends, so that the next is judged fairly."""
    try:
        return _target_c(row, from_c, unit)
    except _Unread:
        return from_c


def read_rows(rows: Sequence[Row], unit: Unit) -> tuple[list[Segment], list[Trouble]]:
    """The segments that read, in order, and what does not; blank rows are left out.

    >>> read_rows([Row("1", "60", "1000"), Row("2", "60", "1 222,5", "1h30"), Row("3")], Unit.CELSIUS)[0][1]
    Segment(rate_c_per_h=60.0, target_c=1222.5, hold_min=90.0)
    """
    segments: list[Segment] = []
    troubles: list[Trouble] = []
    here_c = ROOM_C
    for row in rows:
        if row.is_blank:
            continue
        try:
            segments.append(_read_row(row, here_c, unit))
            here_c = segments[-1].target_c
        except _Unread as unread:
            troubles.append(Trouble(row.key, unread.box, str(unread)))
            here_c = _likely_end_c(row, here_c, unit)
    return segments, troubles


def free_key(rows: Sequence[Row]) -> str:
    """A key that no row has."""
    taken = [int(row.key) for row in rows if row.key.isdigit()]
    return str(max(taken, default=0) + 1)


def added(rows: Sequence[Row]) -> list[Row]:
    """With a blank row at the end."""
    return [*rows, Row(free_key(rows))][:MOST_ROWS]


def without(rows: Sequence[Row], key: str) -> list[Row]:
    """Without a row; one at least is left to type in."""
    left = [row for row in rows if row.key != key]
    return left or [Row(free_key(rows))]


def moved(rows: Sequence[Row], key: str, step: int) -> list[Row]:
    """With a row moved up (-1) or down (+1); nothing moves past the ends.

    >>> [row.key for row in moved([Row("a"), Row("b"), Row("c")], "c", -1)]
    ['a', 'c', 'b']
    """
    order = list(rows)
    here = next((place for place, row in enumerate(order) if row.key == key), None)
    if here is None or not 0 <= here + step < len(order):
        return order
    order[here], order[here + step] = order[here + step], order[here]
    return order


def with_box(rows: Sequence[Row], key: str, box: str, text: str) -> list[Row]:
    """With one box (hold or target) filled anew."""

    def filled(row: Row) -> Row:
        return replace(row, hold=text) if box == "hold" else replace(row, target=text)

    return [filled(row) if row.key == key else row for row in rows]


def _in_other_unit(text: str, box: str, unit: Unit) -> str:
    """A figure in the other unit; what does not read stays as typed."""
    try:
        figure = float(read_figure(text))
    except ValueError:
        return text
    if box == "rate":
        rate_c = figure if unit is Unit.FAHRENHEIT else figure / 1.8
        return rate_figure(rate_c, unit)
    temp_c = figure if unit is Unit.FAHRENHEIT else celsius(figure)
    return temp_figure(temp_c, unit)


def in_unit(rows: Sequence[Row], before: Unit, unit: Unit) -> list[Row]:
    """The rows in another unit.

    >>> in_unit([Row("1", "108", "2232")], Unit.FAHRENHEIT, Unit.CELSIUS)
    [Row(key='1', rate='60', target='1222.2', hold='', is_fast=False)]
    """
    if before is unit:
        return list(rows)
    return [
        replace(
            row,
            rate=_in_other_unit(row.rate, "rate", unit),
            target=_in_other_unit(row.target, "target", unit),
        )
        for row in rows
    ]
