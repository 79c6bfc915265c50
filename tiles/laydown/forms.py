"""What people type about a batch's readings and its water."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone

from firings.forms import FigureField, KeptForm
from tiles.laydown import brongniart
from tiles.models import BatchReading

FIGURES = ("specific_gravity", "flow_s", "water_ml")


class BatchReadingForm(KeptForm):
    specific_gravity = FigureField(
        required=False, min_value=Decimal(1), max_value=Decimal("2.5"), label="Specific gravity",
        help_text="100 ml at 146 g is 1.46.",
    )  # fmt: skip
    flow_s = FigureField(required=False, min_value=Decimal(1), max_value=Decimal(999), label="Flow time, s")
    temp_c = FigureField(
        required=False, min_value=Decimal(0), max_value=Decimal(60), label="Temperature of the slop, °C"
    )
    water_ml = FigureField(
        required=False, min_value=Decimal(0), max_value=Decimal(99_999), label="Water added, ml"
    )

    class Meta:
        model = BatchReading
        fields = ["taken_on", "specific_gravity", "flow_s", "flow_cup", "temp_c", "water_ml", "note"]
        widgets = {
            "taken_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "note": forms.Textarea(attrs={"rows": 2}),
        }

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("flow_s") and not cleaned.get("flow_cup"):
            self.add_error("flow_cup", "Say which cup: a time means nothing without it.")
        if (day := cleaned.get("taken_on")) and day > timezone.localdate() + timedelta(days=1):
            self.add_error("taken_on", "This day is yet to come. Write the day it was measured.")
        if not self.errors and not cleaned.get("note") and all(cleaned.get(one) is None for one in FIGURES):
            self.add_error("specific_gravity", "Write at least one figure or a note.")
        return cleaned


class ThinningForm(forms.Form):
    """A slop that is to be thinned; read from the address, kept nowhere."""

    volume_ml = FigureField(min_value=Decimal(1), max_value=Decimal(1_000_000), label="Slop, ml")
    sg_now = FigureField(min_value=Decimal("1.01"), max_value=Decimal("2.5"), label="SG now")
    sg_wanted = FigureField(min_value=Decimal("1.01"), max_value=Decimal("2.5"), label="SG wanted")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        now, wanted = cleaned.get("sg_now"), cleaned.get("sg_wanted")
        if now and wanted and wanted > now:
            self.add_error(
                "sg_wanted",
                "Water only thins. For a heavier slop let it settle and pour off clear water, then measure again.",
            )
        return cleaned

    def water_ml(self) -> float:
        """The water to add; only of a valid form."""
        return brongniart.water_to_thin_ml(*(float(self.cleaned_data[one]) for one in self.fields))
