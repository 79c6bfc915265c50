"""What people type about kilns and shelves."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict

from firings.forms import FigureField, KeptForm
from firings.kilns.facts import KilnFacts, ShelfFacts
from firings.models import Kiln
from firings.vocabulary import KilnKind, ShelfShape


class KilnForm(KeptForm):
    """A kiln."""

    once = ("name",)
    # Kilns of one studio run on one meter.
    stays = ("kind", "energy_price_per_kwh")
    kind = forms.ChoiceField(
        choices=KilnKind.choices(), widget=forms.RadioSelect, initial=KilnKind.ELECTRIC.value
    )
    power_kw = FigureField(label="Power, kW", required=False, min_value=0, max_value=2000)
    energy_price_per_kwh = FigureField(
        label="Price of a kWh",
        required=False,
        min_value=0,
        max_value=999,
        help_text="To reckon what a firing costs.",
    )
    elements_fitted_on = forms.DateField(
        label="Elements fitted on",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    note = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 3}))

    class Meta:
        model = Kiln
        fields = ("name", "kind", "power_kw", "energy_price_per_kwh", "elements_fitted_on", "note")

    def facts(self) -> KilnFacts:
        """What was typed, for the services."""
        return KilnFacts(**{name: self.cleaned_data[name] for name in KilnFacts.__dataclass_fields__})


class ShapeField(forms.ChoiceField):
    """How a shelf is cut. A row in which it is not said is no row that was filled in."""

    def __init__(self, **kwargs: Any) -> None:
        usual = {"choices": ShelfShape.choices(), "initial": ShelfShape.RECTANGLE.value, "required": False}
        super().__init__(**{**usual, **kwargs})

    def has_changed(self, initial: Any, data: Any) -> bool:
        return bool(data) and super().has_changed(initial, data)


class KilnAddForm(KeptForm):
    """The few facts needed to go on: a kiln and as many shelves of one size."""

    once = ("name",)
    shelves = forms.IntegerField(label="Shelves", min_value=0, max_value=20, initial=3)
    shape = ShapeField(label="Shelves are")
    width_mm = forms.IntegerField(label="Shelf width, mm", required=False, min_value=50, max_value=5000)
    depth_mm = forms.IntegerField(label="Shelf depth, mm", required=False, min_value=50, max_value=5000)
    height_mm = forms.IntegerField(label="Room above each, mm", required=False, min_value=10, max_value=3000)

    class Meta:
        model = Kiln
        fields = ("name", "kind")

    def clean(self) -> dict[str, Any]:
        return _as_deep_as_wide(self, super().clean() or self.cleaned_data)

    def facts(self) -> KilnFacts:
        """The kiln as typed."""
        return KilnFacts(self.cleaned_data["name"], self.cleaned_data["kind"])

    def shelf_facts(self) -> list[ShelfFacts]:
        """Its shelves, counted from the bottom."""
        size = {name: self.cleaned_data[name] for name in ("width_mm", "depth_mm", "height_mm", "shape")}
        return [ShelfFacts(position, **size) for position in range(1, self.cleaned_data["shelves"] + 1)]


def _as_deep_as_wide(form: forms.BaseForm, given: dict[str, Any]) -> dict[str, Any]:
    """A round shelf has one size; a shape that is not said is rectangular."""
    given["shape"] = given.get("shape") or ShelfShape.RECTANGLE.value
    width, depth = given.get("width_mm"), given.get("depth_mm")
    if given["shape"] == ShelfShape.ROUND.value and width != depth:
        if width and depth:
            form.add_error("depth_mm", "A round shelf is as deep as it is wide. Leave the depth empty.")
        given["width_mm"] = given["depth_mm"] = width or depth
    return given


def _millimetres(label: str, low: int, high: int) -> forms.IntegerField:
    box = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
    return forms.IntegerField(label=label, required=False, min_value=low, max_value=high, widget=box)


class ShelfForm(forms.Form):
    """One shelf."""

    pk = forms.IntegerField(required=False, widget=forms.HiddenInput)
    position = forms.IntegerField(
        label="Shelf, counted from the bottom",
        min_value=1,
        max_value=60,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"required": "Say which shelf it is, counted from the bottom."},
    )
    shape = ShapeField()
    width_mm = _millimetres("Width or diameter, mm", 50, 5000)
    depth_mm = _millimetres("Depth, mm", 50, 5000)
    height_mm = _millimetres("Room above, mm", 10, 3000)

    def clean(self) -> dict[str, Any]:
        return _as_deep_as_wide(self, super().clean() or self.cleaned_data)

    def facts(self) -> ShelfFacts:
        """What was typed, for the services."""
        return ShelfFacts(**{name: self.cleaned_data[name] for name in ShelfFacts.__dataclass_fields__})


class ShelfRows(forms.BaseFormSet):
    """The shelves of one kiln, each at its own level."""

    def add_fields(self, form: forms.Form, index: int | None) -> None:
        super().add_fields(form, index)
        form.fields["DELETE"].label = "Take this shelf out"

    def clean(self) -> None:
        levels = [form.cleaned_data["position"] for form in self._kept() if form.cleaned_data.get("position")]
        twice = sorted({level for level in levels if levels.count(level) > 1})
        if twice:
            raise ValidationError(
                f"Shelf {twice[0]} is written twice; count every shelf once from the bottom."
            )

    def _kept(self) -> list[Any]:
        return [form for form in self.forms if form.has_changed() and form not in self.deleted_forms]

    def facts(self) -> list[ShelfFacts]:
        """The shelves to keep. One that was there is kept unless it was taken out, changed or not."""
        kept = (
            form
            for form in self.forms
            if form.cleaned_data.get("position") and form not in self.deleted_forms
        )
        return [form.facts() for form in kept]


ShelfFormSet: type[ShelfRows] = forms.formset_factory(  # type: ignore[assignment]
    ShelfForm, formset=ShelfRows, extra=3, max_num=60, validate_max=True, can_delete=True
)


def shelf_rows(data: QueryDict | None, kiln: Kiln) -> ShelfRows:
    """The rows for a kiln's shelves, as they stand or as they were typed."""
    names = ShelfFacts.__dataclass_fields__
    standing = [
        {name: getattr(shelf, name) for name in names} for shelf in (kiln.shelves.all() if kiln.pk else ())
    ]
    return ShelfFormSet(data, initial=standing, prefix="shelves")
