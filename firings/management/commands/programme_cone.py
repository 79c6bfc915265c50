"""What a programme will do: the cone, the duration, the energy."""

import json
from typing import Any

from django.core.management.base import CommandError, CommandParser

from firings.heatwork.limits import ALWAYS
from firings.heatwork.plain import plain_prediction
from firings.heatwork.predict import KilnFigures, predict
from firings.management.one_line import OneLineCommand, within
from firings.programmes.segments import ROOM_C, Unit, UnreadableProgramme, read, write


def in_words(found: dict[str, Any]) -> list[str]:
    """The answer as a person reads it."""
    interval = found["interval"]
    cone = f"cone {found['cone']}" if found["cone"] else "cooler than cone 019"
    lines = [
        f"{cone}, {found['toward_next']:.0%} of the way to the next",
        f"decimal cone {interval['value']:.2f}, {interval['low']:.2f} to {interval['high']:.2f}"
        if interval
        else "",
        f"top {found['peak_c']:.0f} °C, held {found['hold_min']:.0f} min, {found['duration_h']:.1f} h in all",
    ]
    for name, unit in (("energy_kwh", " kWh"), ("cost", "")):
        if figure := found[name]:
            lines.append(
                f"{name.split('_')[0]} {figure['value']:g}{unit}, {figure['low']:g} to {figure['high']:g}"
            )
    return [*(line for line in lines if line), *found["warnings"]]


class Command(OneLineCommand):
    help = 'Predict the cone of a programme such as "60:1000,60:1222,0:10" (rate:temperature, 0:minutes of hold).'

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "programme", help='such as "60:1000,60:1222,0:10"; fast:600 goes as fast as the kiln can'
        )
        parser.add_argument("--json", action="store_true", help="one JSON object")
        parser.add_argument(
            "--unit", choices=[unit.value for unit in Unit], default="C", help="of the programme"
        )
        parser.add_argument(
            "--start", type=float, default=ROOM_C, metavar="C", help="the kiln at the beginning, °C"
        )
        parser.add_argument("--power", type=float, metavar="KW", help="the kiln’s power, for the energy")
        parser.add_argument("--price", type=float, metavar="MONEY", help="of a kWh, for the cost")
        parser.add_argument("--fastest", type=float, metavar="C_PER_H", help="the kiln’s fastest rise, °C/h")

    def handle(self, *args: Any, **options: Any) -> None:
        unit = Unit(options["unit"])
        for name in ("power", "price", "fastest"):
            within(name, options[name], 0.001, 1e6)
        within("start", options["start"], -50, 1500)
        kiln = KilnFigures(options["power"], options["price"], options["fastest"])
        try:
            segments = read(options["programme"], unit=unit, start_c=options["start"])
        except UnreadableProgramme as trouble:
            raise CommandError(str(trouble)) from None
        found = plain_prediction(predict(segments, kiln=kiln, start_c=options["start"]))
        if options["json"]:
            read_as = {"programme": write(segments), "unit": f"°{unit.value}"}
            answer = {**found, "limits": list(ALWAYS), "read_as": read_as}
            self.stdout.write(json.dumps(answer, ensure_ascii=False, allow_nan=False))
        else:
            self.stdout.write("\n".join(in_words(found)))
