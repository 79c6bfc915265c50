"""What one cell of a log is: a figure, a date, a time of day, both together, or nothing."""

import re
from enum import StrEnum


class Kind(StrEnum):
    """Of a cell or of most cells of a column."""

    FIGURE = "figure"
    DATE = "date"
    CLOCK = "time"
    STAMP = "date and time"
    MISSING = "missing"
    WORD = "word"


# What loggers write where there is no reading.
MISSING_WORDS = frozenset(
    {
        *(
            "",
            "-",
            "--",
            "---",
            "----",
            "nan",
            "n/a",
            "na",
            "#n/a",
            "null",
            "none",
            "nil",
            "?",
            "x",
            "*",
            "***",
        ),
        *(
            "err",
            "error",
            "open",
            "ol",
            "over",
            "under",
            "fault",
            "fail",
            "inf",
            "-inf",
            "invalid",
            "no data",
        ),
        *(
            "short",
            "disconnected",
            "#value!",
            "#div/0!",
            "overload",
            "break",
            "burnout",
            "open tc",
            "tc open",
        ),
    }
)

# A figure may have its thousands apart and its unit behind it.
FIGURE = re.compile(
    r"[-+−]?(?=[.,]?\d)(?:\d{1,3}(?:[ \u00a0\u202f'’.,]\d{3})+|\d*)(?:[.,]\d*)?(?:e[-+]?\d{1,3})?"
    r"\s*(?:°|º|deg\.?)?\s*(?P<unit>[cfk])?",
    re.I,
)

# These are matched against a cell whose digits are all written as 0, so one match serves every row of that shape.
_MONTH = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec|mär|mai|okt|dez)[a-z]*\.?"
_DATE = (
    r"(?:[a-z]{2,9}\.?,? (?=[0a-z]))?"
    r"(?:(?P<year_first>0000)(?P<sep1>[-/.])(?P<month_2>00?)(?P=sep1)(?P<day_3>00?)"
    r"|(?P<one>00?)(?P<sep2>[-/.])(?P<two>00?)(?P=sep2)(?P<year_last>0000|00)"
    rf"|(?P<day_1>00?)[-/. ]{{1,2}}(?P<name_2>{_MONTH})[-/. ,]{{1,2}}(?P<year_3>0000|00)"
    rf"|(?P<name_1>{_MONTH}) (?P<day_2>00?),? (?P<year_end>0000))"
)
_CLOCK = (
    r"(?P<hour>0{1,3})(?::(?P<minute>00)(?::(?P<second>00)(?:[.,](?P<fraction>0{1,9}))?)?|h(?P<minute_h>00))"
    r"\s*(?P<half>[ap]\.?\s?m\.?)?"
)
_ZONE = r"\s*(?P<zone>z|utc|gmt|(?P<zone_sign>[-+])(?P<zone_hour>00):?(?P<zone_minute>00))?"
STAMP = re.compile(rf"\s*(?:{_DATE})?(?P<between>[ t,_]+|(?<=\d)t)?(?:{_CLOCK}{_ZONE})?\s*", re.I)

_DIGITS = re.compile(r"\d")


def shape_of(cell: str) -> str:
    """The cell with every digit as 0.

    >>> shape_of("2026-03-01 08:15")
    '0000-00-00 00:00'
    """
    return _DIGITS.sub("0", cell)


def stamp_match(shape: str) -> re.Match[str] | None:
    """The parts of a date, a time or both in a shape; None where it is neither."""
    match = STAMP.fullmatch(shape)
    if match is None or not (has_date(match) or match["hour"]):
        return None
    return match


def has_date(match: re.Match[str]) -> bool:
    return any(match[part] for part in ("year_first", "year_last", "year_3", "year_end"))


def kind_of(cell: str) -> Kind:
    """What a cell is.

    >>> [kind_of(cell).value for cell in ("1222,5", "08:15", "1/3/2026", "2026-03-01T08:15Z", "open", "Top")]
    ['figure', 'time', 'date', 'date and time', 'missing', 'word']
    """
    bare = cell.strip().strip("'\"").strip()
    if bare.casefold() in MISSING_WORDS:
        return Kind.MISSING
    if _DIGITS.search(bare) is None:
        return Kind.WORD
    if FIGURE.fullmatch(bare):
        return Kind.FIGURE
    match = stamp_match(shape_of(bare))
    if match is None:
        return Kind.WORD
    if not match["hour"]:
        return Kind.DATE
    return Kind.STAMP if has_date(match) else Kind.CLOCK
