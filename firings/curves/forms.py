"""How a logger's file is to be read, in a person's words."""

from collections.abc import Sequence
from typing import Any

from django import forms

from firings.curves.choices import choice_from, plain_choice
from firings.curves.reading import Choice, ReadAs
from firings.curves.table import SEPARATORS
from firings.forms import FigureField
from firings.programmes.segments import Unit

AS_READ = [("", "as found in the file")]
TIME_UNITS = [("ms", "milliseconds"), ("s", "seconds"), ("min", "minutes"), ("h", "hours"), ("d", "days")]
UNITS = [(Unit.CELSIUS.value, "°C"), (Unit.FAHRENHEIT.value, "°F")]
DAY_ORDERS = [("day", "day first, 14/10/2026"), ("month", "month first, 10/14/2026")]
DECIMALS = [(".", "point, 1222.5"), (",", "comma, 1222,5")]
NO_TIME = "none"


def _columns(names: list[str]) -> list[tuple[str, str]]:
    return [(str(place), f"{place + 1}: {name}") for place, name in enumerate(names)]


class ReadingForm(forms.Form):
    """Corrections of how a file is read; whatever is left open is left to the reading, and each field says what that
    found.
    """

    sheet = forms.ChoiceField(label="Sheet", required=False)
    time = forms.ChoiceField(label="Time", required=False)
    clock = forms.ChoiceField(label="Time of day, if in a column of its own", required=False)
    time_unit = forms.ChoiceField(
        label="Time counted in",
        required=False,
        choices=[*AS_READ, *TIME_UNITS],
        help_text="For plain figures.",
    )
    every_s = FigureField(
        label="Seconds between rows",
        required=False,
        min_value=0,
        max_value=86400,
        decimal_places=3,
        help_text="Only where the file has no times.",
    )
    day_first = forms.ChoiceField(label="Dates", required=False, choices=[*AS_READ, *DAY_ORDERS])
    sensors = forms.MultipleChoiceField(
        label="Temperatures", required=False, widget=forms.CheckboxSelectMultiple
    )
    counts = forms.ChoiceField(label="Which sensor counts", required=False)
    unit = forms.ChoiceField(label="Unit", required=False, choices=[*AS_READ, *UNITS], widget=forms.Select)
    separator = forms.ChoiceField(
        label="Fields are parted by", required=False, choices=[*AS_READ, *SEPARATORS.items()]
    )
    decimal = forms.ChoiceField(label="Decimal mark", required=False, choices=[*AS_READ, *DECIMALS])
    header_rows = forms.IntegerField(
        label="Lines before the first reading", required=False, min_value=0, max_value=1000
    )

    def __init__(
        self,
        *args: Any,
        columns: list[str],
        sensors: list[str],
        sheets: Sequence[str] = (),
        read_as: ReadAs | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self._choices("sheet", [*AS_READ, *((name, name) for name in sheets)])
        if len(sheets) < 2:
            del self.fields["sheet"]
        if sheets:
            del self.fields["separator"]
        named = _columns(columns)
        self._choices("time", [*AS_READ, *named, (NO_TIME, "no column: the rows are evenly apart")])
        self._choices("clock", [("", "no"), *named])
        self._choices("sensors", named)
        self._choices("counts", [("", "the middle of all"), *((name, name) for name in sensors)])
        if read_as:
            self._say_what_was_found(read_as)
        if len(sensors) < 2 and not self.data.get("counts"):
            self.fields["counts"].widget = forms.HiddenInput()

    def _choices(self, name: str, choices: list[tuple[str, str]]) -> None:
        """A file that was read otherwise before may have other columns; what was chosen then stays choosable."""
        self.fields[name].choices = choices  # type: ignore[attr-defined]

    def _say_what_was_found(self, read_as: ReadAs) -> None:
        found = {
            "sheet": read_as.sheet,
            "time": ", ".join(read_as.named("time")),
            "unit": read_as.unit,
            "separator": read_as.separator,
            "decimal": read_as.decimal,
        }
        for name, words in found.items():
            if name in self.fields and words:
                choices = self.fields[name].choices  # type: ignore[attr-defined]
                self._choices(name, [("", f"as found: {words}"), *list(choices)[1:]])
        named = ", ".join(read_as.named("temperature"))
        self.fields["sensors"].help_text = f"As found: {named}. Tick to choose others."

    def _group(self, names: Sequence[str]) -> list[forms.BoundField]:
        return [self[name] for name in names if name in self.fields and not self[name].is_hidden]

    def what(self) -> list[forms.BoundField]:
        """What was measured, which most corrections are about."""
        return self._group(["sheet", "sensors", "counts", "unit"])

    def when(self) -> list[forms.BoundField]:
        """The time of each row."""
        return self._group(["time", "clock", "time_unit", "day_first", "every_s"])

    def written(self) -> list[forms.BoundField]:
        """How the file is written, which is seldom read wrongly."""
        return self._group(["separator", "decimal", "header_rows"])

    def choice(self) -> Choice:
        """What was said; only of a valid form."""
        said = self.cleaned_data
        return Choice(
            separator=said.get("separator") or None,
            sheet=said.get("sheet") or None,
            decimal=said["decimal"] or None,
            header_rows=said["header_rows"],
            time=self._time(),
            time_unit=said["time_unit"] or None,
            every_s=float(said["every_s"]) if said["every_s"] else None,
            day_first={"day": True, "month": False}.get(said["day_first"]),
            sensors=tuple(int(place) for place in said["sensors"]) or None,
            unit=Unit(said["unit"]) if said["unit"] else None,
        )

    def _time(self) -> tuple[int, ...] | None:
        said, clock = self.cleaned_data["time"], self.cleaned_data["clock"]
        if said == NO_TIME:
            return ()
        if not said:
            return None
        return (int(said), int(clock)) if clock and clock != said else (int(said),)


def initial_of(plain: dict[str, Any], counts: str) -> dict[str, Any]:
    """A remembered choice as the form shows it.

    >>> initial_of({"time": [0, 1], "unit": "F"}, "")["clock"]
    '1'
    """
    choice = choice_from(plain)
    found: dict[str, Any] = {name: value for name, value in plain_choice(choice).items() if name != "time"}
    if choice.time is not None:
        found["time"] = str(choice.time[0]) if choice.time else NO_TIME
        found["clock"] = str(choice.time[1]) if len(choice.time) > 1 else ""
    if choice.sensors is not None:
        found["sensors"] = [str(place) for place in choice.sensors]
    if choice.day_first is not None:
        found["day_first"] = "day" if choice.day_first else "month"
    return found | {"counts": counts}
