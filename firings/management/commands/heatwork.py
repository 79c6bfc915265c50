"""The cone a logger's file amounts to."""

import json
import stat
from argparse import ArgumentTypeError
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError, CommandParser

from firings.curves.reading import Choice, Reading, read
from firings.curves.roles import UNIT_SECONDS
from firings.curves.text import UnreadableCurve
from firings.curves.together import one_curve
from firings.heatwork.bending import UnfitCurve
from firings.heatwork.equivalent import Equivalent, equivalent
from firings.heatwork.limits import ALWAYS
from firings.heatwork.plain import plain_equivalent
from firings.heatwork.uncertainty import Sensor
from firings.management.one_line import OneLineCommand, within
from firings.programmes.segments import Unit


def columns(text: str) -> tuple[int, ...]:
    """Columns counted from one, as people count, to places counted from nought."""
    try:
        places = tuple(int(part) - 1 for part in text.split(","))
    except ValueError:
        places = (-1,)
    if min(places) < 0:
        raise ArgumentTypeError(f"{text!r} names no columns; write their numbers, such as 2 or 2,3")
    return places


def refuse_device(path: Path) -> None:
    """Refuse what never ends, such as /dev/zero; a pipe is welcome.

    Raises
    ------
    CommandError : not a file
    OSError : no such file, or it cannot be looked at
    """
    if stat.S_ISCHR(path.stat().st_mode) and path != Path("/dev/stdin"):
        raise CommandError(f"{path}: This is a device, not a file.")


def choice_of(options: dict[str, Any]) -> Choice:
    unit = options["unit"]
    return Choice(
        time=options["time_column"],
        time_unit=options["time_unit"],
        every_s=options["every"],
        day_first=options["day_first"],
        sheet=options["sheet"],
        sensors=options["sensors"],
        unit=Unit(unit) if unit else None,
    )


def answer(reading: Reading, sensor: Sensor) -> dict[str, Any]:
    """The file's cone, each sensor's own, and how the file was read."""
    curve = one_curve(reading.times_s, reading.by_name())
    found = equivalent(curve.times_s, curve.temps_c, sensor=sensor)
    return {
        **plain_equivalent(found),
        "sensors": each_sensor(reading, sensor),
        "started_at": reading.started_at.isoformat() if reading.started_at else None,
        "read_as": reading.read_as.plain(),
        "warnings": [*reading.warnings, *curve.words, *found.warnings],
        "limits": list(ALWAYS),
    }


def each_sensor(reading: Reading, sensor: Sensor) -> dict[str, Any]:
    """What each of several sensors alone would say."""
    if len(reading.sensors) < 2:
        return {}
    found: dict[str, Any] = {}
    for one in reading.sensors:
        own = of_one(reading, one.name, sensor)
        found[one.name] = plain_equivalent(own) if own else None
    return found


def of_one(reading: Reading, name: str, sensor: Sensor) -> Equivalent | None:
    try:
        curve = one_curve(reading.times_s, {name: reading.by_name()[name]})
        return equivalent(curve.times_s, curve.temps_c, sensor=sensor)
    except (UnreadableCurve, UnfitCurve):
        return None


def in_words(found: dict[str, Any]) -> list[str]:
    """The answer as a person reads it."""
    interval = found["interval"]
    cone = f"cone {found['cone']}" if found["cone"] else "cooler than cone 019"
    read_as = found["read_as"]
    return [
        f"{cone}, {found['toward_next']:.0%} of the way to the next, when the power went off",
        f"decimal cone {interval['value']:.2f}, {interval['low']:.2f} to {interval['high']:.2f}"
        if interval
        else "",
        f"top {found['peak_c']:.0f} °C, held {found['hold_min']:.0f} min",
        f"read as {read_as['unit']}, time: {read_as['time_base']}, {read_as['rows']} rows",
        *(f"{column['name']}: {column['role']}" for column in read_as["columns"]),
        *found["warnings"],
    ]


class Command(OneLineCommand):
    help = "Work out the cone that a logger’s file amounts to, and say how the file was read."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, help="the log: CSV, text or .xlsx")
        parser.add_argument("--json", action="store_true", help="one JSON object")
        parser.add_argument("--unit", choices=[unit.value for unit in Unit], help="of the temperatures")
        parser.add_argument("--time-unit", choices=list(UNIT_SECONDS), help="of times that are plain figures")
        parser.add_argument(
            "--time-column", type=columns, metavar="N", help="the column of times, or date,time"
        )
        parser.add_argument("--sheet", metavar="NAME", help="the sheet of a spreadsheet with several")
        parser.add_argument("--sensors", type=columns, metavar="N,N", help="the columns of temperatures")
        parser.add_argument(
            "--every", type=float, metavar="SECONDS", help="time between rows, where none is logged"
        )
        parser.add_argument("--day-first", action="store_true", default=None, help="dates are day/month")
        parser.add_argument(
            "--month-first", action="store_false", dest="day_first", help="dates are month/day"
        )
        parser.add_argument(
            "--sensor-error", type=float, metavar="C", help="how far the sensor may be off, °C"
        )
        parser.add_argument("--offset", type=float, default=0.0, metavar="C", help="degrees to add to it, °C")

    def handle(self, *args: Any, **options: Any) -> None:
        within("sensor-error", options["sensor_error"], 0, 200)
        within("offset", options["offset"], -200, 200)
        within("every", options["every"], 0.001, 86400)
        sensor = Sensor(options["sensor_error"], options["offset"])
        try:
            refuse_device(options["file"])
            found = answer(read(options["file"].read_bytes(), choice_of(options)), sensor)
        except OSError as trouble:
            raise CommandError(f"{options['file']}: {trouble.strerror or trouble}") from None
        except (UnreadableCurve, UnfitCurve) as trouble:
            raise CommandError(f"{options['file'].name}: {trouble}") from None
        if options["json"]:
            self.stdout.write(json.dumps(found, ensure_ascii=False, allow_nan=False))
        else:
            self.stdout.write("\n".join(line for line in in_words(found) if line))
