"""The question, chosen from menus; the address is the question."""

from typing import Any

from django import forms

from firings.cones import series
from firings.vocabulary import Atmosphere
from tiles.answers.nearest import HOLD
from tiles.answers.typed import LONGEST_HOLD_MIN, MOST_COATS
from tiles.models import ClayBody, Glaze
from tiles.ranges.axes import NOTHING, Axis


class ConeField(forms.CharField):
    """A cone by its name: 6, 06, 5½."""

    def clean(self, value: Any) -> Any:
        typed = super().clean(value)
        if not typed:
            return None
        try:
            return series.order_of(typed)
        except ValueError as wrong:
            raise forms.ValidationError(str(wrong), code="invalid") from None


class QuestionForm(forms.Form):
    """What does this glaze do, on that body, at this cone, in so many coats."""

    glaze = forms.ModelChoiceField(Glaze.objects.none(), label="Glaze", empty_label="choose a glaze")
    body = forms.ModelChoiceField(
        ClayBody.objects.none(), label="Clay body", required=False, empty_label="any"
    )
    cone = ConeField(label="Cone", required=False, max_length=6)
    coats = forms.IntegerField(label="Coats", required=False, min_value=1, max_value=MOST_COATS)
    over = forms.ModelChoiceField(Glaze.objects.none(), label="Over", required=False, empty_label="bare clay")
    under = forms.ModelChoiceField(Glaze.objects.none(), label="Under", required=False, empty_label="nothing")
    atmosphere = forms.ChoiceField(
        label="Atmosphere", required=False, choices=[("", "any"), *Atmosphere.choices()]
    )
    hold = forms.IntegerField(label="Hold, min", required=False, min_value=0, max_value=LONGEST_HOLD_MIN)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.label_suffix = ""
        glazes = Glaze.objects.order_by("name")
        for name in ("glaze", "over", "under"):
            self.fields[name].queryset = glazes  # type: ignore[attr-defined]
        self.fields["body"].queryset = ClayBody.objects.by_name()  # type: ignore[attr-defined]

    def asked(self) -> dict[str, str]:
        """What was asked, as `nearest` takes it; only of a valid form."""
        said = self.cleaned_data
        records = {name: str(said[name].pk) for name in ("body", "over", "under") if said.get(name)}
        figures = {name: str(said[name]) for name in ("cone", "coats", HOLD) if said.get(name) is not None}
        alone = {Axis.OVER.value: NOTHING, Axis.UNDER.value: NOTHING}
        words = {"atmosphere": said["atmosphere"]} if said.get("atmosphere") else {}
        return {**alone, **records, **figures, **words}
