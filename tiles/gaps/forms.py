"""What people type about a standard."""

from typing import Any

from django import forms

from firings.cones import series
from firings.forms import KeptForm, RecordsField, read_typed
from tiles.models import ClayBody, StudioStandard
from tiles.plans.listing import read_listed
from tiles.recording.pattern import read_cones

MOST_COATS = 20


class StandardForm(KeptForm):
    """A standard: which kind of glaze, at which cones, on which bodies, in how many coats."""

    instance: StudioStandard
    once = ("name",)
    cones = forms.CharField(label="Cones", help_text="such as 5, 6, 10 or 04 to 1", max_length=120)
    coats = forms.CharField(label="Coats", help_text="such as 1, 2, 3", max_length=60, initial="1, 2, 3")
    bodies = RecordsField(ClayBody.objects.none(), label="Clay bodies", widget=forms.CheckboxSelectMultiple)

    class Meta:
        model = StudioStandard
        fields = ["name", "kind"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["bodies"].queryset = ClayBody.objects.by_name()  # type: ignore[attr-defined]
        self.fields["kind"].choices = [  # type: ignore[attr-defined]
            ("", "every kind"),
            *((value, words) for value, words in self.fields["kind"].choices if value),  # type: ignore[attr-defined]
        ]
        for name, typed in typed_of(self.instance).items():
            self.fields[name].initial = typed

    def clean_cones(self) -> list[int]:
        return list(read_typed(read_cones, self.cleaned_data["cones"]))

    def clean_coats(self) -> list[int]:
        return [
            int(coats)
            for coats in read_typed(read_listed, self.cleaned_data["coats"], 1, MOST_COATS, "coats")
        ]

    def save(self, commit: bool = True) -> StudioStandard:
        """The record with its levels; written by the service."""
        said = self.cleaned_data
        self.instance.levels = {
            "cones": said["cones"],
            "bodies": [body.pk for body in said["bodies"]],
            "coats": said["coats"],
        }
        kept: StudioStandard = super().save(commit=commit)
        return kept


def typed_of(standard: StudioStandard) -> dict[str, Any]:
    """What stands in the boxes for a standard's levels; nothing for one that is new."""
    if not standard.levels:
        return {}
    return {
        "cones": ", ".join(map(series.label_of, standard.levels.get("cones", []))),
        "coats": ", ".join(map(str, standard.levels.get("coats", []))),
        "bodies": standard.levels.get("bodies", []),
    }
