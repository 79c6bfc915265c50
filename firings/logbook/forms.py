"""Forms of a firing's pages."""

from datetime import datetime, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from firings.cones import series
from firings.cones.forms import ConeField, DecimalConeField
from firings.forms import FigureField, KeptForm
from firings.logbook.facts import FiringFacts, WitnessReading
from firings.models import Firing, Kiln, Programme, Shelf
from firings.vocabulary import Atmosphere, ConeShape, Purpose

# A year further off than this is a slip of the pen.
EARLIEST_YEAR = 1950
AHEAD = timedelta(days=3 * 366)


class MomentField(forms.DateTimeField):
    """A day and a time, as a phone's own picker gives them."""

    def __init__(self, **kwargs: Any) -> None:
        picker = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
        super().__init__(**{"widget": picker, "required": False, **kwargs})

    def clean(self, value: Any) -> datetime | None:
        moment = super().clean(value)
        if moment and not (moment.year >= EARLIEST_YEAR and moment <= timezone.now() + AHEAD):
            raise ValidationError(f"The year {moment.year} looks like a slip; check the date.")
        return moment


class PlanForm(KeptForm):
    """A firing that is to come."""

    kiln = forms.ModelChoiceField(
        Kiln.objects.all(), empty_label="Choose a kiln", widget=forms.Select(attrs={"data-kind": "kiln"})
    )
    purpose = forms.ChoiceField(choices=Purpose.choices(), widget=forms.RadioSelect)
    target_order = ConeField(
        label="Target cone", required=False, help_text="Type it as you write it, such as 6, 04 or 5½."
    )
    atmosphere = forms.ChoiceField(choices=Atmosphere.choices(), widget=forms.RadioSelect)
    hold_min = forms.IntegerField(
        label="Hold at the top, min",
        required=False,
        min_value=0,
        max_value=6000,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    started_at = MomentField(label="Start")
    programme = forms.ModelChoiceField(
        Programme.objects.all(), required=False, empty_label="none written down"
    )
    note = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 3}))

    class Meta:
        model = Firing
        fields: tuple[str, ...] = (
            "kiln",
            "purpose",
            "target_order",
            "atmosphere",
            "hold_min",
            "started_at",
            "programme",
            "note",
        )

    def clean_hold_min(self) -> int:
        return self.cleaned_data["hold_min"] or 0

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        needs_cone = given.get("purpose") != Purpose.OTHER.value
        if needs_cone and not given.get("target_order") and "target_order" not in self.errors:
            self.add_error("target_order", "Say which cone it is fired to.")
        return given

    def facts(self) -> FiringFacts:
        """What was typed, for the services."""
        given = self.cleaned_data
        known = {name: given[name] for name in FiringFacts.__dataclass_fields__ if name in given}
        programme = given["programme"]
        return FiringFacts(kiln_id=given["kiln"].pk, programme_id=programme and programme.pk, **known)


class FiringForm(PlanForm):
    """All that is known of a firing, before and after."""

    ended_at = MomentField(label="Switched off")
    controller_number = DecimalConeField(
        label="Cone by the controller",
        required=False,
        help_text="What the controller says it reached. Witness cones by the ware count for more.",
    )
    energy_kwh = FigureField(label="Energy, kWh", required=False, min_value=0, max_value=100_000)
    cost = FigureField(required=False, min_value=0, max_value=9_999_999)

    class Meta(PlanForm.Meta):
        fields = (*PlanForm.Meta.fields, "ended_at", "controller_number", "energy_kwh", "cost")

    def clean(self) -> dict[str, Any]:
        given = super().clean()
        start, end = given.get("started_at"), given.get("ended_at")
        if start and end and end < start:
            self.add_error("ended_at", "It was switched off before it started; check both.")
        return given


class StartForm(forms.Form):
    """When a firing started, asked as it is marked fired."""

    started_at = MomentField(label="Started")


class NoteForm(forms.Form):
    """What was seen or done at a moment."""

    at = MomentField(label="When", required=True)
    text = forms.CharField(
        label="What was seen or done",
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 2, "placeholder": "Cracked the lid at 120 °C"}),
    )


class WitnessConeForm(forms.Form):
    """One witness cone: which, where, how far down."""

    pk = forms.IntegerField(required=False, widget=forms.HiddenInput)
    order = ConeField(label="Cone", error_messages={"required": "Say which cone it is."})
    shape = forms.ChoiceField(choices=ConeShape.choices())
    shelf = forms.ModelChoiceField(Shelf.objects.none(), required=False, empty_label="not noted")
    place = forms.CharField(
        label="Place", max_length=40, required=False, widget=forms.TextInput(attrs={"list": "places"})
    )
    bend_deg = forms.IntegerField(
        label="Bend, degrees",
        required=False,
        min_value=0,
        max_value=180,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )

    def __init__(self, *args: Any, kiln: Kiln, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        shelves = self.fields["shelf"]
        shelves.queryset = kiln.shelves.all()  # type: ignore[attr-defined]

    def reading(self) -> WitnessReading:
        """What was typed, for the services."""
        given = self.cleaned_data
        shelf = given["shelf"]
        return WitnessReading(
            order=given["order"],
            shape=given["shape"],
            shelf_id=shelf and shelf.pk,
            place=given["place"],
            bend_deg=given["bend_deg"],
            pk=given["pk"],
        )


class WitnessConeRows(forms.BaseFormSet):
    """The witness cones of one firing. A row that was only proposed and not touched is left out."""

    def add_fields(self, form: forms.Form, index: int | None) -> None:
        super().add_fields(form, index)
        form.fields["DELETE"].label = "Take this cone out"

    def readings(self) -> list[WitnessReading]:
        """The cones to keep."""
        kept = (
            form for form in self.forms if form.cleaned_data.get("order") and form not in self.deleted_forms
        )
        return [form.reading() for form in kept if form.cleaned_data["pk"] or form.has_changed()]


WitnessConeFormSet: type[WitnessConeRows] = forms.formset_factory(  # type: ignore[assignment]
    WitnessConeForm, formset=WitnessConeRows, extra=2, max_num=40, validate_max=True, can_delete=True
)


def cones_to_read(firing: Firing) -> list[dict[str, Any]]:
    """Rows to start from: the cones as they stand, else a guide, the target and a guard.

    One cone cooler, the wanted one, one hotter: the usual pack of three (common practice, no source).
    """
    standing = list(firing.witness_cones.all())
    if standing:
        return [
            {
                "pk": cone.pk,
                "order": cone.order,
                "shape": cone.shape,
                "shelf": cone.shelf_id,
                "place": cone.place,
                "bend_deg": cone.bend_deg,
            }
            for cone in standing
        ]
    return [{"order": order, "shape": ConeShape.SELF_SUPPORTING.value} for order in _pack_of_three(firing)]


def _pack_of_three(firing: Firing) -> list[int]:
    whole = [order for order, _ in series.choices(whole_only=True)]
    if firing.target_order not in whole:
        return []
    here = whole.index(firing.target_order)
    return whole[max(here - 1, 0) : here + 2]
