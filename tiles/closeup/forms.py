"""The marks of a run as a page sends them."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from firings.forms import FigureField
from firings.preferences import Preferences
from tiles.closeup.reading import Marks, Subject
from tiles.closeup.scale import Line
from tiles.tilepage.judged import MM_PER_INCH
from tiles.vocabulary import ScaleBasis

DRAG_FIRST = "Drag the two marks first: one to the coat’s edge, one to the end of the drip."


class LineField(forms.Field):
    """Two places of a photo as four shares with commas between: left and top of each."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(widget=forms.HiddenInput, **kwargs)

    def to_python(self, value: Any) -> Line | None:
        if not value:
            return None
        try:
            x1, y1, x2, y2 = (float(figure) for figure in str(value)[:200].split(","))
        except ValueError:
            raise ValidationError(DRAG_FIRST, code="invalid") from None
        # A comparison with "not a number" is false, so that it is refused too.
        if not all(0 <= share <= 1 for share in (x1, y1, x2, y2)):
            raise ValidationError("Both marks must lie on the photo. Drag them again.", code="outside")
        return x1, y1, x2, y2

    def prepare_value(self, value: Any) -> Any:
        return ",".join(f"{share:.5f}" for share in value) if isinstance(value, (tuple, list)) else value


class LengthField(FigureField):
    """A length typed as the studio prefers, millimetres when cleaned."""

    def __init__(self, *, inches: bool, **kwargs: Any) -> None:
        self.inches = inches
        super().__init__(required=False, **kwargs)

    def clean(self, value: Any) -> Any:
        found = super().clean(value)
        if found is None:
            return None
        found_mm = found * MM_PER_INCH if self.inches else found
        if not 1 <= found_mm <= 1000:
            raise ValidationError("A length between 1 mm and 1 m is needed here.", code="range")
        return found_mm


class RunForm(forms.Form):
    """Where the run begins and ends, and what tells its scale."""

    line = LineField(required=True, error_messages={"required": DRAG_FIRST})
    edge = LineField(required=False)
    step_px = forms.FloatField(required=False, min_value=0, max_value=1000, widget=forms.HiddenInput)
    runs_off = forms.BooleanField(label="It ran off the foot", required=False)

    def __init__(self, *args: Any, subject: Subject, preferences: Preferences, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        inches = preferences.length_unit == "in"
        unit = "in" if inches else "mm"
        self.fields["basis"] = forms.ChoiceField(
            label="Scale from",
            choices=[(basis.value, basis.label) for basis in subject.bases],
            initial=subject.bases[0].value,
            widget=forms.RadioSelect,
        )
        self.fields["edge_length"] = LengthField(
            inches=inches,
            label=f"The tile marks are apart, {unit}",
            help_text=self._tile_words(subject, inches),
            initial=_written(subject.width_mm, inches),
        )
        self.fields["code_side"] = LengthField(
            inches=inches,
            label=f"Dark square of the code, {unit} wide",
            help_text="Measure it on the label, without the white around it.",
        )
        if ScaleBasis.CODE not in subject.bases:
            del self.fields["code_side"]

    @staticmethod
    def _tile_words(subject: Subject, inches: bool) -> str:
        unit = "in" if inches else "mm"
        width, height = _written(subject.width_mm, inches), _written(subject.height_mm, inches)
        return (
            f"Dry, this form is {width} × {height} {unit}; in the fire it shrinks further. "
            "Measure the fired tile and write that here: it is surer."
        )

    def marks(self) -> Marks:
        """What was dragged and typed; only of a valid form."""
        given = self.cleaned_data
        edge_mm, code_mm = given.get("edge_length"), given.get("code_side")
        return Marks(
            line=given["line"],
            basis=given["basis"],
            edge=given["edge"],
            edge_mm=float(edge_mm) if edge_mm is not None else None,
            code_side_mm=float(code_mm) if code_mm is not None else None,
            step_px=given["step_px"] or 1.0,
            runs_off=given["runs_off"],
        )


def _written(mm: float, inches: bool) -> str:
    """A length as it stands in the box: 70, or 2.76."""
    if inches:
        return f"{Decimal(str(mm)) / MM_PER_INCH:.2f}"
    return f"{mm:g}"
