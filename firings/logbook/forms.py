"""Forms of a firing's pages."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from firings.cones import series
from firings.cones.forms import ConeField, DecimalConeField
from firings.forms import FigureField, KeptForm
from firings.heatwork import cone_shape
from firings.heatwork.witness import Said, clock_words, what_they_say
from firings.logbook.facts import FiringFacts, WitnessReading
from firings.models import Firing, Kiln, Programme, Shelf, WitnessCone
from firings.programmes.queries import latest_programmes
from firings.vocabulary import Atmosphere, ConeShape, Purpose

# A year further off than this is a slip of the pen.
EARLIEST_YEAR = 1950
AHEAD = timedelta(days=3 * 366)
# A pack of three cones of which none is known yet.
NO_PACK = (None, None, None)
# A cone that lies flat on the shelf.
FLATTEST_DEG = 180


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
        Programme.objects.all(),
        required=False,
        empty_label="none written down",
        widget=forms.Select(attrs={"data-kind": "programme"}),
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

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # A firing keeps the version it was planned on, though a newer one stands.
        own = Programme.objects.filter(pk=self.initial.get("programme") or 0)
        self.fields["programme"].queryset = latest_programmes() | own  # type: ignore[attr-defined]

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


NO_SHELF = "not noted"


class WitnessConeForm(forms.Form):
    """One witness cone: which, where, how far down."""

    pk = forms.IntegerField(required=False, widget=forms.HiddenInput)
    order = ConeField(label="Cone", error_messages={"required": "Say which cone it is."})
    shape = forms.ChoiceField(choices=ConeShape.choices(), initial=ConeShape.SELF_SUPPORTING.value)
    shelf = forms.ModelChoiceField(Shelf.objects.none(), required=False, empty_label=NO_SHELF)
    place = forms.CharField(
        label="Place", max_length=40, required=False, widget=forms.TextInput(attrs={"list": "places"})
    )
    bend_deg = forms.IntegerField(
        label="Bend, degrees",
        required=False,
        min_value=0,
        max_value=FLATTEST_DEG,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "data-bend": ""}),
    )

    def __init__(self, *args: Any, kiln: Kiln, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        shelves = self.fields["shelf"]
        shelves.queryset = kiln.shelves.all()  # type: ignore[attr-defined]

    @property
    def outline(self) -> str:
        """The path of the cone as it is bent."""
        return cone_shape.outline(_bend_typed(self["bend_deg"].value()) or 0)

    @property
    def cone_label(self) -> str:
        """The cone's name as it stands in the form; empty while it names none."""
        order = _cone_typed(self["order"].value())
        return series.label_of(order) if order else ""

    @property
    def seen(self) -> str:
        """Where its tip points, in words."""
        bend = _bend_typed(self["bend_deg"].value())
        return "unread" if bend is None else clock_words(bend)

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


@dataclass(frozen=True, slots=True)
class ConeSet:
    """The cones of one place, and what they say together."""

    where: str
    forms: list[WitnessConeForm]
    # A place that is offered beside those in use, folded away until somebody wants it.
    is_another: bool = False

    @property
    def said(self) -> Said:
        """As the fields stand now, what cannot be read left out."""
        return cones_say([(form["order"].value(), form["bend_deg"].value()) for form in self.forms])


def cones_say(typed: Iterable[tuple[Any, Any]]) -> Said:
    """What cones say as they are typed: cone and bend, of which half may be missing or no figure."""
    cones = ((_cone_typed(order), _bend_typed(bend)) for order, bend in typed)
    return what_they_say([(order, bend) for order, bend in cones if order is not None])


def _cone_typed(order: Any) -> int | None:
    try:
        return order if isinstance(order, int) else series.order_of(str(order or ""))
    except ValueError:
        return None


def _bend_typed(bend: Any) -> int | None:
    text = str("" if bend is None else bend).strip()
    return int(text) if text.isascii() and text.isdigit() and int(text) <= FLATTEST_DEG else None


def _is_touched(form: forms.Form) -> bool:
    return form.is_bound and form.has_changed()


class WitnessConeRows(forms.BaseFormSet):
    """The witness cones of one firing. A row that was only proposed and not touched is left out."""

    @cached_property
    def shelves(self) -> list[tuple[Any, str]]:
        """The menu of shelves, read once for all cones: each field by itself would ask the database again."""
        shelves = self.form_kwargs["kiln"].shelves.all()
        return [("", NO_SHELF), *((shelf.pk, str(shelf)) for shelf in shelves)]

    def add_fields(self, form: forms.Form, index: int | None) -> None:
        super().add_fields(form, index)
        form.fields["shelf"].widget.choices = self.shelves
        form.fields["DELETE"].label = "Take this cone out"
        form.empty_permitted = form.empty_permitted or bool(form.initial.get("another"))

    def sets(self) -> list[ConeSet]:
        """The rows by where they stand, in the order of the page."""
        found: dict[tuple[Any, str], list[WitnessConeForm]] = {}
        another = [form for form in self.forms if form.initial.get("another") and not _is_touched(form)]
        for form in self.forms:
            if form in another:
                continue
            where = form["shelf"].value(), (form["place"].value() or "").casefold()
            found.setdefault((str(where[0] or ""), where[1]), []).append(form)
        names = {str(shelf.pk): f"shelf {shelf.position}" for shelf in self.form_kwargs["kiln"].shelves.all()}
        sets = [
            ConeSet(" ".join(filter(None, (names.get(shelf), place))) or "place not noted", forms)
            for (shelf, place), forms in found.items()
        ]
        return [*sets, ConeSet("another place", another, is_another=True)] if another else sets

    def readings(self) -> list[WitnessReading]:
        """The cones to keep."""
        kept = (
            form for form in self.forms if form.cleaned_data.get("order") and form not in self.deleted_forms
        )
        return [form.reading() for form in kept if form.cleaned_data["pk"] or form.has_changed()]


WitnessConeFormSet: type[WitnessConeRows] = forms.formset_factory(  # type: ignore[assignment]
    WitnessConeForm, formset=WitnessConeRows, extra=0, max_num=40, validate_max=True, can_delete=True
)


def cones_to_read(firing: Firing) -> list[dict[str, Any]]:
    """Rows to start from: the cones as they stand, else a guide, the target and a guard for each likely place; and for
    one more place, folded away.

    One cone cooler, the wanted one, one hotter: the usual pack of three (common practice, no source).
    """
    shape = ConeShape.SELF_SUPPORTING.value
    orders = _pack_of_three(firing)
    pack = [{"order": order, "shape": shape} for order in orders or NO_PACK]
    proposed = [row | place for place in _likely_places(firing) for row in pack if orders]
    return [*(_standing_cones(firing) or proposed), *(row | {"another": True} for row in pack)]


def _standing_cones(firing: Firing) -> list[dict[str, Any]]:
    """The cones of a firing as they stand, top shelf first."""
    top_first = sorted(
        firing.witness_cones.select_related("shelf"),
        key=lambda cone: (-(cone.shelf.position if cone.shelf else 0), cone.place, cone.order),
    )
    names = ("pk", "order", "shape", "place", "bend_deg")
    return [{name: getattr(cone, name) for name in names} | {"shelf": cone.shelf_id} for cone in top_first]


def _likely_places(firing: Firing) -> list[dict[str, Any]]:
    """The places whose cones were read in this kiln's last firing with any; else the top, middle and lowest shelf."""
    used = WitnessCone.objects.filter(firing__kiln=firing.kiln_id, firing__binned_at__isnull=True)
    last = used.exclude(firing=firing.pk).order_by("-firing__number").values_list("firing", flat=True).first()
    places = (
        used.filter(firing=last)
        .order_by("-shelf__position", "place")
        .values_list("shelf", "place")
        .distinct()
    )
    if last:
        return [{"shelf": shelf, "place": place} for shelf, place in places]
    return [{"shelf": shelf} for shelf in _likely_shelves(firing)]


def _likely_shelves(firing: Firing) -> list[int | None]:
    """The top, a middle and the lowest shelf, where there are so many (common practice, no source)."""
    shelves = [shelf.pk for shelf in firing.kiln.shelves.order_by("-position")]
    if not shelves:
        return [None]
    return list(dict.fromkeys((shelves[0], shelves[len(shelves) // 2], shelves[-1])))


def _pack_of_three(firing: Firing) -> list[int]:
    whole = [order for order, _ in series.choices(whole_only=True)]
    if firing.target_order not in whole:
        return []
    here = whole.index(firing.target_order)
    return whole[max(here - 1, 0) : here + 2]
