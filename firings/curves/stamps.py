"""Dates and times of day as loggers write them, whole columns at once.

Cells of one shape (the same but for their digits) have their parts in the same places, so a column is read shape by
shape, digits as a matrix. Which of day and month comes first is settled by what the dates then say.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from firings.curves.cells import has_date, shape_of, stamp_match
from firings.curves.figures import Array

Texts: TypeAlias = NDArray[np.str_] | NDArray[np.bytes_]

DAY_S = 86400.0
# The figures under the first of several names of a part that the shape has; nought where it has none.
Part = Callable[..., Array]

_MOST_SHAPES = 100
_BLOCK_ROWS = 20_000
_PARTS = ("year", "month", "day", "hours_s", "zone_s", "unsure")
_MONTHS = {
    **{"jan": 1, "feb": 2, "mar": 3, "mär": 3, "apr": 4, "may": 5, "mai": 5, "jun": 6, "jul": 7, "aug": 8},
    **{"sep": 9, "oct": 10, "okt": 10, "nov": 11, "dec": 12, "dez": 12},
}


@dataclass(slots=True)
class Stamps:
    """Parts of a column of dates and times, not a number where a cell lacks them.

    `unsure` marks rows whose `month` and `day` may be the other way round, as in 3/4/2026.
    `zone_s` is the offset from universal time that the cell names [s]; `hours_s` the time of day or elapsed [s].
    """

    year: Array
    month: Array
    day: Array
    hours_s: Array
    zone_s: Array
    unsure: NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Days:
    """Days since 1970 and how day and month were told apart."""

    days: Array
    order: str


def nothing_read(rows: int) -> Stamps:
    empty = np.full((5, rows), np.nan)
    return Stamps(empty[0], empty[1], empty[2], empty[3], empty[4], np.zeros(rows, dtype=bool))


def stamps_of(texts: Texts) -> Stamps:
    """The parts of every cell, a block of rows at a time."""
    found = nothing_read(len(texts))
    for start in range(0, len(texts), _BLOCK_ROWS):
        block = slice(start, start + _BLOCK_ROWS)
        part = Stamps(*(getattr(found, name)[block] for name in _PARTS))
        _read_block(part, texts[block])
    return found


def _letters_of(texts: Texts) -> NDArray[np.uint8]:
    """The first letters of all texts, the second letters …; beyond Latin-1 is none of a date's and becomes the last."""
    size = np.uint8 if texts.dtype.kind == "S" else np.uint32
    letters = np.ascontiguousarray(texts).view(size).reshape(len(texts), -1).T
    return np.ascontiguousarray(np.minimum(letters, 255), dtype=np.uint8)


def _words_of(text: str | bytes) -> str:
    return text.decode("latin-1") if isinstance(text, bytes) else str(text)


def _read_block(found: Stamps, texts: Texts) -> None:
    letters = _letters_of(texts)
    rows = np.arange(len(texts))
    for _ in range(_MOST_SHAPES):
        if not len(rows):
            break
        # A digit less its nought is at most nine, which nothing else is.
        shapes = np.where(letters - ord("0") <= 9, np.uint8(ord("0")), letters)
        same = (shapes == shapes[:, :1]).all(axis=0)
        alike = same.all()
        _read_shape(found, _words_of(texts[rows[0]]), letters if alike else letters[:, same], rows[same])
        rows, letters = rows[~same], letters[:, ~same]


def _number(letters: NDArray[np.uint8], span: tuple[int, int]) -> Array:
    digits = letters[slice(*span)]
    # The same in all rows of a block, as years and days mostly are.
    constant = bool((digits == digits[:, :1]).all())
    number: Array = np.zeros(1 if constant else digits.shape[1])
    for row in digits[:, :1] if constant else digits:
        number = number * 10 + (row - ord("0"))
    return np.full(digits.shape[1], number[0]) if constant else number


def _read_shape(found: Stamps, cell: str, letters: NDArray[np.uint8], rows: NDArray[np.intp]) -> None:
    """Read all rows of one shape; a shape that is no date or time leaves them empty."""
    match = stamp_match(shape_of(cell))
    if match is None:
        return

    def part(*names: str) -> Array:
        known = [match.span(name) for name in names if match[name]]
        return _number(letters, known[0]) if known else np.zeros(len(rows))

    if has_date(match):
        _read_date(found, match, part, rows)
    if match["hour"]:
        found.hours_s[rows] = _hours_s(match, part)
    if match["zone"]:
        offset = part("zone_hour") * 3600 + part("zone_minute") * 60
        found.zone_s[rows] = -offset if match["zone_sign"] == "-" else offset


def _read_date(found: Stamps, match: re.Match[str], part: Part, rows: NDArray[np.intp]) -> None:
    year = part("year_first", "year_last", "year_3", "year_end")
    found.year[rows] = np.where(year < 100, year + 2000, year)
    name = match["name_1"] or match["name_2"]
    if name:
        found.month[rows] = _MONTHS[name[:3].casefold()]
        found.day[rows] = part("day_1", "day_2")
    elif match["year_first"]:
        found.month[rows], found.day[rows] = part("month_2"), part("day_3")
    else:
        found.day[rows], found.month[rows] = part("one"), part("two")
        found.unsure[rows] = match["sep2"] != "."


def _hours_s(match: re.Match[str], part: Part) -> Array:
    """Time of day [s], twelve-hour clocks made whole."""
    hour, minute, second = part("hour"), part("minute", "minute_h"), part("second")
    if match["half"]:
        afternoon = match["half"][0] in "pP"
        hour = np.where((hour >= 1) & (hour <= 12), hour % 12 + 12 * afternoon, np.nan)
    sound = (minute < 60) & (second < 60)
    fraction = part("fraction") / 10.0 ** len(match["fraction"] or "")
    return np.where(sound, hour * 3600 + minute * 60 + second + fraction, np.nan)


def _days(year: Array, month: Array, day: Array) -> Array:
    """Days since 1970; not a number for no date. Worked out once for each run of rows of one date."""
    turns = (np.diff(year) != 0) | (np.diff(month) != 0) | (np.diff(day) != 0)
    starts = np.flatnonzero(np.append(True, turns)) if len(year) else np.zeros(0, dtype=int)
    days = _days_of_each(year[starts], month[starts], day[starts])
    return np.repeat(days, np.diff(np.append(starts, len(year))))


def _days_of_each(year: Array, month: Array, day: Array) -> Array:
    sound = (month >= 1) & (month <= 12) & (day >= 1) & (day <= 31) & (year >= 1970) & (year <= 2200)
    days = np.full(len(year), np.nan)
    months = (year[sound] - 1970).astype(int) * 12 + month[sound].astype(int) - 1
    first = months.astype("datetime64[M]").astype("datetime64[D]").astype(int)
    wanted = first + day[sound].astype(int) - 1
    next_first = (months + 1).astype("datetime64[M]").astype("datetime64[D]").astype(int)
    days[sound] = np.where(wanted < next_first, wanted, np.nan)
    return days


def _span(days: Array) -> float:
    """How many days a log would span, endless where a date is none."""
    known = days[np.isfinite(days)]
    return float(np.ptp(np.quantile(known, [0.02, 0.98]))) if len(known) else np.inf


def days_of(stamps: Stamps, *, day_first: bool | None = None) -> Days:
    """The days of a column; day and month in the order in which every date exists and the log spans fewest days."""
    plain = _days(stamps.year, stamps.month, stamps.day)
    unsure = stamps.unsure & np.isfinite(stamps.year)
    if not unsure.any():
        return Days(plain, "")
    month = np.where(unsure, stamps.day, stamps.month)
    day = np.where(unsure, stamps.month, stamps.day)
    turned = _days(stamps.year, month, day)
    if day_first is not None:
        return Days(plain, "day first, as told") if day_first else Days(turned, "month first, as told")
    missing = np.isnan(plain).sum() - np.isnan(turned).sum()
    if missing:
        return Days(turned, "month first") if missing > 0 else Days(plain, "day first")
    if _span(plain) == _span(turned):
        return Days(plain, "day first or month first: the file does not tell")
    return Days(plain, "day first") if _span(plain) < _span(turned) else Days(turned, "month first")
