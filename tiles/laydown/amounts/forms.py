"""What is to be glazed or mixed, read from the address and kept nowhere."""

from decimal import Decimal
from typing import Any

from django import forms

from firings.forms import FigureField
from tiles.laydown.amounts.reckoning import Slop, slop_for, slop_of_dry, slop_of_volume
from tiles.models import Glaze, TileForm
from tiles.recording.grid import MOST_COATS

GRAVITY = {"min_value": Decimal("1.01"), "max_value": Decimal("2.5")}


class TilesForm(forms.Form):
    """So many tiles of a form, or an area, in so many coats."""

    glaze = forms.ModelChoiceField(Glaze.objects.none(), required=False, empty_label="any glaze")
    form = forms.ModelChoiceField(
        TileForm.objects.none(), required=False, label="Tile form", empty_label="an area instead"
    )
    tiles = forms.IntegerField(min_value=1, max_value=100_000, initial=10, label="Tiles")
    area_cm2 = FigureField(
        required=False,
        min_value=Decimal("0.1"),
        max_value=Decimal(1_000_000),
        label="Area of each, cm²",
        help_text="Where no form is chosen.",
    )
    coats = forms.IntegerField(min_value=1, max_value=MOST_COATS, initial=3, label="Coats")
    sg = FigureField(
        required=False, **GRAVITY, label="Specific gravity", help_text="Empty: as its newest lot was weighed."
    )
    waste = FigureField(
        required=False,
        min_value=Decimal(0),
        max_value=Decimal(500),
        label="Left in brush and bucket, %",
        initial=Decimal(20),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["glaze"].queryset = Glaze.objects.by_name()  # type: ignore[attr-defined]
        self.fields["form"].queryset = TileForm.objects.order_by("name")  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if not cleaned.get("form") and not cleaned.get("area_cm2") and "area_cm2" not in self.errors:
            self.add_error("area_cm2", "Choose a form, or write the area that is glazed on each piece.")
        return cleaned

    def area(self) -> float:
        """What is glazed in all [cm²]: of a form all its zones but the foot; the form is valid."""
        cleaned = self.cleaned_data
        if cleaned["form"]:
            zones = cleaned["form"].zones.exclude(kind="foot")
            return cleaned["tiles"] * sum(zone.area_cm2 for zone in zones)
        return cleaned["tiles"] * float(cleaned["area_cm2"])

    def slop(self, coat_g_cm2: float, gravity: float) -> Slop:
        """What that takes."""
        cleaned = self.cleaned_data
        return slop_for(self.area(), cleaned["coats"], coat_g_cm2, gravity, float(cleaned["waste"] or 0))


class BucketForm(forms.Form):
    """A bucket of slop to mix: by its volume or by the dry glaze there is."""

    ml = FigureField(
        required=False, min_value=Decimal(1), max_value=Decimal(1_000_000), label="Slop wanted, ml"
    )
    dry_g = FigureField(
        required=False, min_value=Decimal(1), max_value=Decimal(1_000_000), label="or dry glaze at hand, g"
    )
    sg_wanted = FigureField(**GRAVITY, label="Specific gravity wanted")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if not self.errors and bool(cleaned.get("ml")) == bool(cleaned.get("dry_g")):
            self.add_error("ml", "Write one of the two: how much slop, or how much dry glaze there is.")
        return cleaned

    def slop(self) -> Slop:
        """The bucket; the form is valid."""
        cleaned = self.cleaned_data
        gravity = float(cleaned["sg_wanted"])
        if cleaned["ml"]:
            return slop_of_volume(float(cleaned["ml"]), gravity)
        return slop_of_dry(float(cleaned["dry_g"]), gravity)
