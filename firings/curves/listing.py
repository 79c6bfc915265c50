"""The table behind a drawing: a row every so often, and the rows where something happens."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from firings.cones import series
from firings.curves.course import Course
from firings.notice import temp
from firings.programmes.segments import Unit
from firings.programmes.words import clock_words

# A row at most this often [h], coarsest that leaves enough rows.
STEPS_H = (0.25, 0.5, 1.0, 2.0, 4.0, 8.0)
MOST_ROWS = 32


@dataclass(frozen=True, slots=True)
class Row:
    """A moment in words: time since the log's beginning, temperature, cone so far, what happens then."""

    time: str
    temp: str
    planned: str
    cone: str
    event: str = ""


def _moments(course: Course) -> list[tuple[float, str]]:
    step_h = next((step for step in STEPS_H if course.length_h / step <= MOST_ROWS), STEPS_H[-1])
    moments = [(float(hour), "") for hour in np.arange(0, course.length_h, step_h)]
    peak_h = float(course.logged.hours[int(course.logged.values.argmax())])
    moments += [(course.length_h, "end of the log"), (peak_h, "hottest")]
    if course.off_h is not None:
        moments.append((course.off_h, "power off"))
        if course.held_h > 0:
            moments.append((course.off_h - course.held_h, "top reached"))
    return sorted(moments)


def _cone_words(course: Course, hour: float) -> str:
    if not course.cones.is_there or hour < course.cones.hours[0]:
        return ""
    return series.number_words(Decimal(str(round(course.cones.at(hour), 2))))


def rows_of(course: Course, unit: Unit) -> Iterator[Row]:
    """The table's rows, in order of time; moments of one minute stand in one row."""
    merged: dict[str, tuple[float, list[str]]] = {}
    for hour, event in _moments(course):
        merged.setdefault(clock_words(hour), (hour, []))[1].extend([event] if event else [])
    for time, (hour, events) in merged.items():
        planned = course.programme
        is_planned = planned is not None and hour <= planned.hours[-1]
        yield Row(
            time,
            temp(course.logged.at(hour)).words(unit),
            temp(planned.at(hour)).words(unit) if planned and is_planned else "",
            _cone_words(course, hour),
            ", ".join(events),
        )
