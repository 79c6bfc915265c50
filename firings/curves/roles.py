"""Which columns of a log are what: the time, the kiln's sensors, and what is left out and why."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from firings.curves.cells import Kind
from firings.curves.figures import Array
from firings.curves.table import Column, Table
from firings.curves.text import UnreadableCurve

# A curve that never gets this hot [°C] is no firing; a kiln that gets hotter than this does not exist in a studio.
COOLEST_TOP_C = 200.0
HOTTEST_TOP_C = 1700.0
# Share of rows a sensor must have readings in.
LEAST_SHARE = 0.2

# Whatever else the name says.
_LEFT_OUT = {
    "a set point, not a reading": r"set ?-?point|setp|sp|wsp|target|desired|demand|soll\w*|consigne|program\w*",
    "not a temperature of the kiln": r"ambient|room|cold ?junction|cjc?|internal|board|case|outside|reference|umgebung"
    r"|flue|chimney|stack|exhaust|abgas",
    "not a temperature": r"out|output|power|duty|load|relay|ssr|amps?|current|volts?|voltage|battery|humidity|rh|kwh?"
    r"|ramp|rate|alarm|error|percent|leistung|dew ?point|pid|fan|damper|pressure",
}
# Only where no word of temperature stands beside it.
_NO_TEMPERATURE = (
    r"segment|seg|step|id|event|status|state|index|record|count|counter|no|nr|number|sample|line|row|cone|co|o|lambda"
    r"|flow|weight|signal|level|mode|scan"
)
_TEMPERATURE = (
    r"temp\w*|[°º]|[°º]?[cf]|celsius|fahrenheit|tc|thermo\w*|probe|kiln|zone|chamber|oven|ofen|pv|actual|ist"
)
_TIME_NAMES = (
    r"time|elapsed|seconds?|secs?|minutes?|mins?|hours?|hrs?|zeit|tiempo|timestamp|date|datum|clock|t"
)
_TIME_UNITS = {
    "ms": ("ms", "msec", "milliseconds", "millis"),
    "s": ("s", "sec", "secs", "second", "seconds", "sek", "sekunden"),
    "min": ("min", "mins", "minute", "minutes", "minuten"),
    "h": ("h", "hr", "hrs", "hour", "hours", "std", "stunden"),
    "d": ("d", "day", "days", "tage"),
}
UNIT_SECONDS = {"ms": 0.001, "s": 1.0, "min": 60.0, "h": 3600.0, "d": 86400.0}


@dataclass(frozen=True, slots=True)
class Roles:
    """Places of the columns of time (one, or a date and a clock) and of the sensors; why others were left out."""

    time: tuple[int, ...]
    sensors: tuple[int, ...]
    left_out: dict[int, str]


def words_of(name: str) -> list[str]:
    """A column's name as plain words.

    >>> words_of("Elapsed_time (min)"), words_of("TC1Temp[°F]")
    (['elapsed', 'time', 'min'], ['tc', '1', 'temp', '°f'])
    """
    parted = re.sub(r"(?<=[a-z])(?=[A-Z\d])|(?<=\d)(?=[A-Za-z])|(?<=[A-Z])(?=\d)", " ", name)
    return re.findall(r"[°º]?[a-zà-ÿ]+|\d+|[°º%]", parted.casefold())


def names(name: str, pattern: str) -> bool:
    """Whether one of a name's words, or two in a row, is in the pattern."""
    words = words_of(name)
    pairs = [" ".join(pair) for pair in pairwise(words)]
    return any(re.fullmatch(pattern, word) for word in (*words, *pairs))


def time_unit_of(name: str) -> str | None:
    """The unit of time that a column's name holds."""
    words = words_of(name)
    return next((unit for unit, known in _TIME_UNITS.items() if set(known) & set(words)), None)


def is_time_name(name: str) -> bool:
    return names(name, _TIME_NAMES) or time_unit_of(name) is not None


def why_left_out(name: str) -> str | None:
    """Why a column is no sensor of the kiln, by its name."""
    if "%" in name:
        return "not a temperature"
    if why := next((why for why, pattern in _LEFT_OUT.items() if names(name, pattern)), None):
        return why
    return "not a temperature" if names(name, _NO_TEMPERATURE) and not names(name, _TEMPERATURE) else None


def _rises_all_along(figures: Array) -> bool:
    """Whether nearly every row is later than the one before: a clock or a count, but no kiln, which cools as well."""
    steps = np.diff(figures[np.isfinite(figures)])
    return len(steps) > 0 and float((steps > 0).mean()) > 0.9


def _is_even(figures: Array) -> bool:
    """Whether nearly all steps are alike, as a logger's clock makes them."""
    steps = np.diff(figures[np.isfinite(figures)])
    usual = float(np.median(steps))
    return float((np.abs(steps - usual) <= 0.02 * abs(usual)).mean()) > 0.9


def _looks_counted(figures: Array) -> bool:
    known = figures[np.isfinite(figures)]
    return len(known) > 2 and bool((np.diff(known) == 1).all())


def count_of_rows(columns: Sequence[Column]) -> Array | None:
    """The first column that numbers the rows, gaps where rows were lost; None where there is none."""
    for one in columns:
        known = one.figures[np.isfinite(one.figures)]
        steps = np.diff(known)
        if one.kind is Kind.FIGURE and len(steps) and np.median(steps) == 1 and _rises_all_along(known):
            return one.figures
    return None


def _figure_times(columns: Sequence[Column]) -> list[int]:
    """Columns of figures that may be the time, the best first: named with a unit, named, in even steps."""
    figures = [(place, one) for place, one in enumerate(columns) if one.kind is Kind.FIGURE]
    rising = [(place, one) for place, one in figures if _rises_all_along(one.figures)]
    other = f"{_NO_TEMPERATURE}|{_TEMPERATURE}"
    able = [(place, one) for place, one in rising if is_time_name(one.name) or not names(one.name, other)]

    def rank(item: tuple[int, Column]) -> tuple[bool, bool, bool, bool, int]:
        place, one = item
        return (
            time_unit_of(one.name) is None,
            not is_time_name(one.name),
            not _is_even(one.figures),
            _looks_counted(one.figures),
            place,
        )

    named = [(place, one) for place, one in figures if is_time_name(one.name) and time_unit_of(one.name)]
    return [place for place, _ in sorted(able, key=rank)] or [place for place, _ in named]


def _time_columns(columns: Sequence[Column]) -> tuple[int, ...]:
    """The columns of time: date and time in one; a date and a clock; a figure with its unit; a clock; a figure."""
    by_kind = {kind: [place for place, one in enumerate(columns) if one.kind is kind] for kind in Kind}
    figures = _figure_times(columns)
    if by_kind[Kind.STAMP]:
        return (by_kind[Kind.STAMP][0],)
    if by_kind[Kind.DATE] and by_kind[Kind.CLOCK]:
        return (by_kind[Kind.DATE][0], by_kind[Kind.CLOCK][0])
    if figures and time_unit_of(columns[figures[0]].name):
        return (figures[0],)
    if by_kind[Kind.CLOCK]:
        return (by_kind[Kind.CLOCK][0],)
    return tuple(figures[:1])


def _why_no_sensor(column: Column, coolest_top: float) -> str | None:
    """Why a column is left out: by its name, else by its figures."""
    if column.kind is not Kind.FIGURE:
        return "no figures"
    if why := why_left_out(column.name):
        return why
    known = column.figures[np.isfinite(column.figures)]
    if len(known) < max(2, LEAST_SHARE * len(column.figures)):
        return "hardly any readings"
    if np.quantile(known, 0.995) < coolest_top:
        return f"never above {coolest_top:.0f}"
    return "it stands still" if np.ptp(known) == 0 else None


def _without_counts(columns: Sequence[Column], why: dict[int, str | None]) -> dict[int, str | None]:
    """Leave out counts of the rows where there are sensors beside them; a slow ramp may look like a count itself."""
    counts = {
        place
        for place, reason in why.items()
        if reason is None
        and _looks_counted(columns[place].figures)
        and not names(columns[place].name, _TEMPERATURE)
    }
    if all(reason or place in counts for place, reason in why.items()):
        return why
    return {place: "a count of the rows" if place in counts else reason for place, reason in why.items()}


def roles_of(
    table: Table,
    *,
    time: Sequence[int] | None = None,
    sensors: Sequence[int] | None = None,
    coolest_top: float = COOLEST_TOP_C,
) -> Roles:
    """Which columns are what; `time` and `sensors` are a person's own choice.

    Raises
    ------
    UnreadableCurve : no column of times, or none that could be a kiln's temperature
    """
    columns = table.columns
    places = _time_columns(columns) if time is None else tuple(time)
    if any(not 0 <= place < len(columns) for place in (*places, *(sensors or ()))):
        raise UnreadableCurve(f"The file has {len(columns)} columns; choose among these.")
    others = [place for place in range(len(columns)) if place not in places]
    why = {place: _why_no_sensor(columns[place], coolest_top) for place in others}
    why = _without_counts(columns, why)
    if sensors is not None:
        chosen = tuple(place for place in others if place in sensors)
        left = {place: why[place] or "not chosen" for place in others if place not in chosen}
    else:
        chosen = tuple(place for place in others if why[place] is None)
        left = {place: reason for place, reason in why.items() if reason}
    if not chosen:
        raise UnreadableCurve(_no_sensor_words(columns, left))
    return Roles(places, chosen, left)


def _no_sensor_words(columns: Sequence[Column], left: dict[int, str]) -> str:
    reasons = "; ".join(f"{columns[place].name}: {why}" for place, why in list(left.items())[:6])
    return (
        f"No column looks like the temperature of a kiln in a firing ({reasons or 'no column of figures'})."
    )
