"""What people type about a programme: its name, its rows of segments, and what to reckon it for."""

from collections.abc import Iterator, Sequence
from typing import Any, cast

from django import forms
from django.http import QueryDict

from firings.cones.forms import ConeField
from firings.forms import Difference, KeptForm
from firings.models import Kept, Kiln, Programme
from firings.programmes.facts import ProgrammeFacts
from firings.programmes.queries import name_is_taken, segments_of
from firings.programmes.rows import MOST_ROWS, Row, Trouble, read_rows, rows_of
from firings.programmes.segments import Segment, Unit, write

NO_SEGMENT = "Write at least one segment: degrees an hour, and to which temperature."


def unit_of(text: str | None, otherwise: str) -> Unit:
    """The unit a page is asked for, else the studio's."""
    return Unit(text if text in (Unit.CELSIUS, Unit.FAHRENHEIT) else otherwise)


def typed_rows(data: QueryDict) -> list[Row]:
    """The rows as they were typed, in their order on the page; at least one."""
    keys = list(dict.fromkeys(key for key in data.getlist("row") if key.isdigit()))[:MOST_ROWS]
    rows = [
        Row(
            key,
            data.get(f"rate-{key}", "")[:40],
            data.get(f"target-{key}", "")[:40],
            data.get(f"hold-{key}", "")[:40],
            f"fast-{key}" in data,
        )
        for key in keys
    ]
    return rows or [Row("1")]


class LineForm(forms.Form):
    """A programme in one line."""

    line = forms.CharField(
        label="The programme in one line",
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2, "autocomplete": "off", "spellcheck": "false"}),
        help_text="Such as 60:1000, 60:1222 hold 10. Rate:temperature; fast:600 goes as fast as possible; 0:30 holds "
        "30 min; a lower temperature cools.",
        error_messages={"required": "Write a programme such as 60:1000, 60:1222 hold 10."},
    )


class AimForm(forms.Form):
    """What a programme is reckoned for; nothing of it is kept."""

    cone = ConeField(label="For cone", required=False)
    kiln = forms.ModelChoiceField(Kiln.objects.all(), required=False, empty_label="any kiln")

    @property
    def order(self) -> int | None:
        """The cone's rank in the published series, where one reads."""
        return self.cleaned_data.get("cone") if self.is_valid() or self.is_bound else None

    @property
    def chosen_kiln(self) -> Kiln | None:
        return self.cleaned_data.get("kiln") if self.is_valid() or self.is_bound else None


class ProgrammeForm(KeptForm):
    """A programme with its segments as they were typed."""

    name = forms.CharField(
        max_length=80, error_messages={"required": "Give the programme a name, such as Cone 6, held."}
    )
    note = forms.CharField(required=False, max_length=4000, widget=forms.Textarea(attrs={"rows": 2}))

    class Meta:
        model = Programme
        fields = ("name", "note")

    instance: Programme

    def __init__(
        self, data: QueryDict | None, *, rows: Sequence[Row], unit: Unit, instance: Programme
    ) -> None:
        super().__init__(data, instance=instance)
        self.rows, self.unit = list(rows), unit
        self.segments, self.troubles = read_rows(rows, unit)

    def clean_name(self) -> str:
        name: str = self.cleaned_data["name"]
        if name_is_taken(name, self.instance):
            raise forms.ValidationError(
                "There is a programme of this name already. Give this one another name."
            )
        return name

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if self.troubles:
            self.add_error(None, "A segment does not read; see below.")
        elif not self.segments:
            self.add_error(None, NO_SEGMENT)
        return cleaned

    def facts(self) -> ProgrammeFacts:
        """What was typed, for the services."""
        return ProgrammeFacts(self.cleaned_data["name"], tuple(self.segments), self.cleaned_data["note"])

    def differences(self, current: Kept) -> Iterator[Difference]:
        yield from super().differences(current)
        typed, standing = (
            _line(self.segments, self.unit),
            _line(segments_of(cast(Programme, current)), self.unit),
        )
        if typed != standing:
            yield Difference("Segments", typed, standing)


def _line(segments: Sequence[Segment], unit: Unit) -> str:
    return write(segments, unit=unit).replace(",", ", ")


def standing_rows(programme: Programme, unit: Unit) -> list[Row]:
    """The rows of a programme as it stands, or one blank row."""
    return rows_of(segments_of(programme), unit) if programme.pk else [Row("1")]


def trouble_of(troubles: Sequence[Trouble]) -> dict[str, Trouble]:
    """What does not read, by its row."""
    return {trouble.key: trouble for trouble in troubles}
