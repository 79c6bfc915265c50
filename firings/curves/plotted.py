"""A course as aligned columns for a plot that answers to the finger: thinned to its pixels, gaps left empty."""

from decimal import Decimal
from typing import Any

import numpy as np

from firings.cones import series
from firings.curves.course import Course, Track
from firings.curves.drawing import CONES_SHOWN
from firings.curves.figures import Array
from firings.curves.thinning import thinned
from firings.programmes.segments import Unit, fahrenheit

LEAST_PIXELS, MOST_PIXELS = 200, 2000


def _moments(course: Course, pixels: int) -> Array:
    """The hours drawn: of the thinned log, the programme's corners and the steps of heat work."""
    log = course.logged.hours[thinned(course.logged.hours, course.logged.values, pixels)]
    parts = [log]
    if course.programme:
        parts.append(course.programme.hours[course.programme.hours <= course.length_h])
    if course.cones.is_there:
        parts.append(course.cones.hours[thinned(course.cones.hours, course.cones.values, pixels // 2)])
    return np.unique(np.concatenate(parts).round(4))


def _column(track: Track, hours: Array, digits: int, *, goes_on: bool = False) -> list[float | None]:
    """A track at these hours; None before it begins and, unless it goes on level, after it ends."""
    right = float(track.values[-1]) if goes_on else np.nan
    values = np.interp(hours, track.hours, track.values, left=np.nan, right=right)
    return [
        round(value, digits) if known else None
        for value, known in zip(values.tolist(), np.isfinite(values), strict=True)
    ]


def _in_unit(track: Track, unit: Unit) -> Track:
    if unit is Unit.CELSIUS:
        return track
    return Track(track.hours, np.array(fahrenheit(track.values)), track.name)  # type: ignore[arg-type]


def _temp_columns(course: Course, hours: Array, unit: Unit) -> list[dict[str, Any]]:
    tracks = [
        ("programme", course.programme),
        *(("sensor", one) for one in course.others),
        ("logged", course.logged),
    ]
    return [
        {"kind": kind, "name": track.name, "values": _column(_in_unit(track, unit), hours, 1)}
        for kind, track in tracks
        if track is not None
    ]


def _witnesses(course: Course, unit: Unit) -> list[dict[str, Any]]:
    found = []
    for witness in course.witnesses:
        hour = course.passed_h(witness)
        temp = _in_unit(course.logged, unit).at(hour)
        words = series.number_words(Decimal(str(witness.number)))
        found.append(
            {
                "hour": round(hour, 3),
                "temp": round(temp, 1),
                "number": witness.number,
                "words": words,
                "place": witness.place,
            }
        )
    return found


def plotted(course: Course, pixels: int, unit: Unit) -> dict[str, Any]:
    """All that a plot of so many pixels across needs, as plain values.

    `hours` is one column, `temps` columns beside it in the unit asked for, `cones` decimal cones; `cone_labels` names
    the whole cones on that scale.
    """
    pixels = min(max(pixels, LEAST_PIXELS), MOST_PIXELS)
    hours = _moments(course, pixels)
    cones: list[float | None] = [None] * len(hours)
    if course.cones.is_there:
        cones = _column(course.cones, hours, 2, goes_on=True)
    highest = max([*course.cones.values[-1:], *(one.number for one in course.witnesses)], default=0.0) + 0.6
    return {
        "hours": hours.tolist(),
        "temps": _temp_columns(course, hours, unit),
        "cones": cones,
        "cone_range": [round(float(highest - CONES_SHOWN), 2), round(float(highest), 2)],
        "cone_labels": {str(cone.number): cone.label for cone in series.cones() if cone.is_whole},
        "witnesses": _witnesses(course, unit),
        "off_h": course.off_h,
        "held_h": course.held_h,
        "unit": unit.value,
    }
