"""Areas laid on a photo, and what an instrument said."""

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.http import QueryDict

from firings.forms import FigureField
from tiles.colour.lab import Illuminant
from tiles.colour.placing import Corners, read_corners, write_corners


class AreasForm:
    """The areas of a photo's zones as they were sent: which are to be measured, and their corners."""

    def __init__(self, data: QueryDict, keys: Iterable[int]) -> None:
        ticked = set(data.getlist("zone"))
        self.typed = {key: data.get(f"area-{key}", "")[:200] for key in keys}
        self.chosen = [key for key in self.typed if str(key) in ticked]
        self.errors: dict[int, str] = {}
        self.areas: dict[int, Corners] = {}
        for key in self.chosen:
            try:
                self.areas[key] = read_corners(self.typed[key])
            except ValueError as problem:
                self.errors[key] = str(problem)

    def is_valid(self) -> bool:
        return bool(self.areas) and not self.errors

    @property
    def problem(self) -> str:
        """What is wrong with all of it."""
        return "" if self.chosen else "Tick at least one zone to measure."


def areas_as_typed(areas: Mapping[int, Corners]) -> dict[int, str]:
    """Areas as a form holds them."""
    return {key: write_corners(corners) for key, corners in areas.items()}


class InstrumentForm(forms.Form):
    """L*a*b* as an instrument says it, with the light it is stated for."""

    lab_l = FigureField(label="L*", min_value=0, max_value=100, max_digits=6, decimal_places=3)
    lab_a = FigureField(label="a*", min_value=-150, max_value=150, max_digits=6, decimal_places=3)
    lab_b = FigureField(label="b*", min_value=-150, max_value=150, max_digits=6, decimal_places=3)
    illuminant = forms.ChoiceField(
        label="Stated for",
        choices=[(one.value, one.value) for one in (Illuminant.D50, Illuminant.D65)],
        initial=Illuminant.D50.value,
        help_text="Your instrument’s settings say which. Observer 2°.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("lab_a", "lab_b"):
            # Phones' figure keys have no minus sign.
            self.fields[name].widget.attrs["inputmode"] = "text"

    @property
    def lab(self) -> tuple[float, float, float]:
        given = self.cleaned_data
        return float(given["lab_l"]), float(given["lab_a"]), float(given["lab_b"])
