"""What people type about glazes, batches, bodies and tile forms."""

from decimal import Decimal
from typing import Any, cast

from django import forms
from django.http import QueryDict

from firings.cones.forms import ConeField
from firings.forms import FigureField, KeptForm, read_typed
from tiles import tags
from tiles.catalogue import zones
from tiles.models import ClayBody, Glaze, GlazeBatch, TileForm
from tiles.vocabulary import Face, ZoneKind

COLOUR = forms.TextInput(attrs={"type": "color"})


class ConeRangeForm(KeptForm):
    """A record with a range of cones."""

    cone_low_order = ConeField(required=False)
    cone_high_order = ConeField(required=False, label="to cone")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        low, high = cleaned.get("cone_low_order"), cleaned.get("cone_high_order")
        if low and high and low > high:
            self.add_error("cone_high_order", "The range runs backwards: write the cooler cone first.")
        return cleaned


class GlazeForm(ConeRangeForm):
    once = ("name",)
    # What glazes of one maker often have in common. Cautions are read from each label anew.
    stays = ("kind", "maker", "cone_low_order", "cone_high_order", "coats_low", "coats_high", "drying_min")
    cone_low_order = ConeField(required=False, label="Meant from cone")

    class Meta:
        model = Glaze
        fields = [
            "name", "kind", "maker", "swatch", "cone_low_order", "cone_high_order", "surface", "opacity",
            "tags", "known_runner", "coats_low", "coats_high", "drying_min", "thinning", "cautions", "note",
        ]  # fmt: skip
        help_texts = {"tags": "Your own words to gather glazes by, with a comma between: liner, chun."}
        widgets = {
            "swatch": COLOUR,
            "cautions": forms.Textarea(attrs={"rows": 3}),
            "note": forms.Textarea(attrs={"rows": 3}),
        }

    def clean_tags(self) -> str:
        return tags.write(read_typed(tags.read, self.cleaned_data["tags"]))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        low, high = cleaned.get("coats_low"), cleaned.get("coats_high")
        if low and high and low > high:
            self.add_error("coats_high", "The range runs backwards: write the smaller number of coats first.")
        if high and high > 20:
            self.add_error("coats_high", "More than 20 coats is surely a slip. Write the label’s figure.")
        if (cleaned.get("drying_min") or 0) > 2880:
            self.add_error("drying_min", "Write the drying time in minutes, two days (2880) at most.")
        return cleaned


class GlazeAddForm(ConeRangeForm):
    """The few facts needed to go on; the rest is filled in later."""

    once = ("name",)
    cone_low_order = ConeField(required=False, label="Meant from cone")

    class Meta:
        model = Glaze
        fields = ["name", "kind", "swatch", "cone_low_order", "cone_high_order"]
        widgets = {"swatch": COLOUR}


class GlazeBatchForm(KeptForm):
    once = ("glaze", "lot")
    # Lots that came in or were mixed on one day, measured with one cup.
    stays = ("glaze", "mixed_here", "opened_on", "flow_cup")
    specific_gravity = FigureField(
        required=False,
        min_value=Decimal(1),
        max_value=Decimal("2.5"),
        help_text="Weight of a measured volume against the same of water: 100 ml at 146 g is 1.46.",
    )
    flow_s = FigureField(required=False, min_value=Decimal(1), max_value=Decimal(999), label="Flow time, s")

    class Meta:
        model = GlazeBatch
        fields = ["glaze", "lot", "mixed_here", "opened_on", "specific_gravity", "flow_s", "flow_cup", "note"]
        widgets = {
            "opened_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "note": forms.Textarea(attrs={"rows": 3}),
        }

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("flow_s") and not cleaned.get("flow_cup"):
            self.add_error("flow_cup", "Say which cup: a time means nothing without it.")
        return cleaned


class ClayBodyForm(ConeRangeForm):
    once = ("name",)
    # Bodies of one firing range under one studio rule; colour, absorption and shrinkage are each body's own.
    stays = ("cone_low_order", "cone_high_order", "default_hold_min")
    cone_low_order = ConeField(required=False, label="Matures from cone")
    absorption_pct = FigureField(
        required=False, min_value=Decimal(0), max_value=Decimal(40), label="Absorption, %"
    )
    shrinkage_pct = FigureField(
        required=False, min_value=Decimal(0), max_value=Decimal(40), label="Shrinkage, %"
    )
    default_hold_min = forms.IntegerField(
        required=False,
        min_value=0,
        max_value=600,
        label="Always hold, min",
        help_text="A studio rule. A firing with a shorter hold is pointed out.",
    )

    class Meta:
        model = ClayBody
        fields = [
            "name", "colour_family", "speckled", "swatch", "cone_low_order", "cone_high_order", "absorption_pct",
            "shrinkage_pct", "default_hold_min", "note",
        ]  # fmt: skip
        widgets = {"swatch": COLOUR, "note": forms.Textarea(attrs={"rows": 3})}


class ClayBodyAddForm(KeptForm):
    """The few facts needed to go on; the rest is filled in later."""

    once = ("name",)

    class Meta:
        model = ClayBody
        fields = ["name", "colour_family", "speckled", "swatch"]
        widgets = {"swatch": COLOUR}


class TileFormForm(KeptForm):
    once = ("name",)
    stays = ("shape", "upright", "width_mm", "height_mm", "thickness_mm")
    width_mm = forms.IntegerField(min_value=10, max_value=1000, label="Width, mm", initial=70)
    height_mm = forms.IntegerField(min_value=10, max_value=1000, label="Height, mm", initial=110)
    thickness_mm = forms.IntegerField(min_value=1, max_value=100, label="Thickness, mm", initial=7)

    class Meta:
        model = TileForm
        fields = ["name", "shape", "upright", "width_mm", "height_mm", "thickness_mm", "note"]
        widgets = {"note": forms.Textarea(attrs={"rows": 2})}


class TileFormAddForm(TileFormForm):
    """The few facts needed to go on: three bands, a texture patch and the back, in the size given."""

    width_mm = forms.IntegerField(min_value=30, max_value=1000, label="Width, mm", initial=70)
    height_mm = forms.IntegerField(min_value=60, max_value=1000, label="Height, mm", initial=110)

    class Meta:
        model = TileForm
        fields = ["name", "shape", "upright", "width_mm", "height_mm", "thickness_mm"]


class TileFormNameForm(KeptForm):
    """What may still change once tiles were cut to a form."""

    once = ("name",)

    class Meta:
        model = TileForm
        fields = ["name", "note"]
        widgets = {"note": forms.Textarea(attrs={"rows": 2})}


class ZoneForm(forms.Form):
    """One zone of a form."""

    name = forms.CharField(max_length=30)
    # A browser posts a select's first choice even of an empty row: these initials keep such a row empty.
    kind = forms.ChoiceField(choices=ZoneKind.choices(), initial=ZoneKind.BAND.value)
    face = forms.ChoiceField(choices=Face.choices(), initial=Face.FRONT.value)
    textured = forms.BooleanField(required=False)
    x_mm = FigureField(min_value=Decimal(0), max_value=Decimal(1000), label="Left, mm")
    y_mm = FigureField(min_value=Decimal(0), max_value=Decimal(1000), label="Top, mm")
    width_mm = FigureField(min_value=Decimal(1), max_value=Decimal(1000), label="Width, mm")
    height_mm = FigureField(min_value=Decimal(1), max_value=Decimal(1000), label="Height, mm")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            # The rows stand in a table whose head names the columns for the eye; these name them for the ear.
            field.widget.attrs["aria-label"] = str(field.label or name.replace("_", " "))

    def box(self) -> zones.ZoneBox:
        """The zone as typed."""
        return zones.ZoneBox(
            name=self.cleaned_data["name"],
            face=self.cleaned_data["face"],
            x_mm=float(self.cleaned_data["x_mm"]),
            y_mm=float(self.cleaned_data["y_mm"]),
            width_mm=float(self.cleaned_data["width_mm"]),
            height_mm=float(self.cleaned_data["height_mm"]),
            kind=self.cleaned_data["kind"],
            textured=self.cleaned_data["textured"],
        )


class ZoneRows(forms.BaseFormSet):
    """The zones of one form; rows left empty are no zones."""

    def add_fields(self, form: forms.Form, index: int | None) -> None:
        super().add_fields(form, index)
        form.fields["DELETE"].label = "Take off"
        form.fields["DELETE"].widget.attrs["aria-label"] = "Take off"

    def boxes(self) -> list[zones.ZoneBox]:
        """The zones as typed, in order."""
        return [row.box() for row in self._kept()]

    def _kept(self) -> list[Any]:
        return [row for row in self.forms if row.cleaned_data and not row.cleaned_data.get("DELETE")]

    def fits(self, width_mm: float, height_mm: float) -> bool:
        """Whether zones that read well lie right on faces of this size too; else the figures to change say so."""
        rows = self._kept()
        found = zones.troubles(self.boxes(), width_mm, height_mm)
        for trouble in found:
            rows[trouble.place].add_error(trouble.field, trouble.words)
        return not found

    def clean(self) -> None:
        if not any(self.errors) and not self.boxes():
            raise forms.ValidationError("A tile form needs a zone at least: where does the glaze go?")


_ZoneSet = forms.formset_factory(
    ZoneForm, formset=ZoneRows, extra=1, max_num=12, validate_max=True, can_delete=True
)


def zone_rows(typed: QueryDict | None, first: list[dict[str, object]]) -> ZoneRows:
    """The rows of zones: as typed, or those to start from and an empty one."""
    return cast(ZoneRows, _ZoneSet(typed, initial=None if typed else first))
