"""What people type about ware that was measured: the test, and each piece's masses."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.http import QueryDict
from django.utils import timezone

from firings.cones.forms import ConeField
from firings.forms import Difference, FigureField, KeptForm
from firings.models import Firing, Kept
from firings.vocabulary import FIRED, Atmosphere
from tiles import numbers
from tiles.laboratory.absorption import Masses, troubles
from tiles.laboratory.limits import Figure
from tiles.models import AbsorptionPiece, AbsorptionTest, ClayBody, Glaze, LeachFigure, LeachReport, Tile
from tiles.vocabulary import Element, LeachRule, LeachUnit

MASSES = ("dry_g", "suspended_g", "wet_g")
# As many as the standard asks for, and a few to spare.
ROWS_AT_FIRST, ROWS_SPARE, MOST_ROWS = 5, 3, 40
HEAVIEST_G = Decimal(50_000)


class TileNumberField(forms.CharField):
    """A tile by its number; its value is the tile, or None where nothing is typed."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault(
            "widget",
            forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "data-tile-number": ""}),
        )
        super().__init__(max_length=16, **kwargs)

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        try:
            number = numbers.read(text)
        except ValueError as wrong:
            raise ValidationError(str(wrong)) from None
        found = Tile.objects.select_related("body").filter(number=number).first()
        if found is None:
            raise ValidationError(f"No tile has the number {text}.")
        return found

    def prepare_value(self, value: Any) -> Any:
        """A tile, or its key as a form of a record holds it, reads as its number."""
        if isinstance(value, int):
            value = Tile.everything.filter(pk=value).first()
        return value.label if isinstance(value, Tile) else value


class WareForm(KeptForm):
    """A form about fired ware: its tile or its clay, its firing in the logbook or the cone it reached."""

    tile = TileNumberField(
        label="Tile number",
        required=False,
        help_text="Where it is a tile of the logbook; its clay is known then.",
    )
    body = forms.ModelChoiceField(
        ClayBody.objects.all(), label="Clay body", required=False, empty_label="choose, or name the tile"
    )
    firing = forms.ModelChoiceField(
        Firing.objects.none(), label="Came out of firing", required=False, empty_label="none of the logbook"
    )
    cone_order = ConeField(
        label="Cone reached", required=False, help_text="Only where the firing is not in the logbook."
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fired = Q(state__in=FIRED, binned_at__isnull=True) | Q(pk=getattr(self.instance, "firing_id", None))
        choices = Firing.everything.filter(fired).order_by("-number")
        self.fields["firing"].queryset = choices  # type: ignore[attr-defined]

    def check_day(self, name: str) -> None:
        """No day that is yet to come; one ahead is another time zone's."""
        day: date | None = self.cleaned_data.get(name)
        if day and day > timezone.localdate() + timedelta(days=1):
            self.add_error(name, "This day is yet to come. Write the day it was done.")

    def check_tile(self) -> None:
        """What the tile says of itself is filled in; what is typed against it is refused."""
        tile: Tile | None = self.cleaned_data.get("tile")
        if tile is None:
            return
        body = self.cleaned_data.get("body")
        if body and body != tile.body:
            self.add_error("body", f"Tile {tile.label} is of {tile.body}. Leave the clay body empty.")
        self.cleaned_data["body"] = tile.body
        firing = self.cleaned_data.get("firing")
        fired = tile.placements.filter(firing__state__in=FIRED, firing__binned_at__isnull=True)
        keys = set(fired.values_list("firing", flat=True))
        if firing and firing.pk not in keys:
            self.add_error(
                "firing", f"Tile {tile.label} was not in {firing}. Choose the firing it came out of."
            )
        elif not firing and len(keys) == 1 and self.cleaned_data.get("cone_order") is None:
            self.cleaned_data["firing"] = Firing.objects.get(pk=keys.pop())

    def check_ware(self) -> None:
        """The clay, and either a firing of the logbook or the cone it reached."""
        self.check_tile()
        if not self.cleaned_data.get("body") and not {"body", "tile"} & set(self.errors):
            self.add_error("body", "Choose the clay body, or write the number of the tile.")
        firing, cone = self.cleaned_data.get("firing"), self.cleaned_data.get("cone_order")
        if firing and cone is not None:
            self.add_error("cone_order", f"{firing} says the cone already. Leave this empty.")
        elif not firing and cone is None and not {"firing", "cone_order"} & set(self.errors):
            self.add_error("firing", "Choose the firing, or write the cone it reached.")


class AbsorptionForm(WareForm):
    """An absorption test without its pieces."""

    scale_step_g = FigureField(
        label="The scale shows, g",
        min_value=Decimal("0.001"),
        max_value=Decimal(1),
        help_text="Its smallest step.",
    )

    class Meta:
        model = AbsorptionTest
        fields = (
            "tile", "body", "firing", "cone_order", "method", "tested_on", "tested_by", "scale_step_g", "note",
        )  # fmt: skip
        widgets = {
            "tested_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "note": forms.Textarea(attrs={"rows": 2}),
        }

    def __init__(self, *args: Any, rows: "PieceRows | None" = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.rows = rows

    def clean(self) -> dict[str, Any]:
        super().clean()
        self.check_day("tested_on")
        self.check_ware()
        return self.cleaned_data

    def differences(self, current: Kept) -> Iterator[Difference]:
        yield from super().differences(current)
        standing = [_facts_of(one) for one in cast(AbsorptionTest, current).pieces.all()]
        typed = self.rows.pieces() if self.rows else standing
        if typed != standing:
            yield Difference("Pieces", pieces_words(typed), pieces_words(standing))


PieceFacts = tuple[Decimal, Decimal, Decimal | None]


def _facts_of(piece: AbsorptionPiece) -> PieceFacts:
    return piece.dry_g, piece.wet_g, piece.suspended_g


def pieces_words(pieces: Sequence[PieceFacts]) -> str:
    """Pieces in one line: dry, wet, and hung where it was."""
    return "; ".join(
        f"dry {dry.normalize():f}, wet {wet.normalize():f}" + (f", hung {hung.normalize():f}" if hung else "")
        for dry, wet, hung in pieces
    )


def masses_of(pieces: Sequence[PieceFacts]) -> list[Masses]:
    """Kept or typed pieces as figures to work with."""
    return [
        Masses(float(dry), float(wet), None if hung is None else float(hung)) for dry, wet, hung in pieces
    ]


def _mass(label: str) -> FigureField:
    return FigureField(
        label=label, required=False, min_value=Decimal("0.1"), max_value=HEAVIEST_G, decimal_places=3,
        error_messages={
            "max_decimal_places": "A thousandth of a gram is the finest kept.",
            "min_value": "A mass is at least 0.1 g.",
        },
    )  # fmt: skip


class PieceForm(forms.Form):
    """The masses of one piece; a row without any is no piece."""

    dry_g = _mass("Dry, g")
    suspended_g = _mass("Hung in water, g")
    wet_g = _mass("Wet, g")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        dry, wet, hung = (cleaned.get(name) for name in ("dry_g", "wet_g", "suspended_g"))
        if not self.errors and any(one is not None for one in (dry, wet, hung)):
            for trouble in troubles(*(None if one is None else float(one) for one in (dry, wet, hung))):
                self.add_error(trouble.field, trouble.words)
        return cleaned


class PieceRows(forms.BaseFormSet):
    """The pieces of one test, in the order they were weighed."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("form_kwargs", {"label_suffix": ""})
        super().__init__(*args, **kwargs)

    def clean(self) -> None:
        if not any(self.errors) and not self.pieces():
            raise ValidationError("Write the masses of at least one piece.")

    def pieces(self) -> list[PieceFacts]:
        """What was typed, row by row, without those left empty; only of rows that are right."""
        return [
            (form.cleaned_data["dry_g"], form.cleaned_data["wet_g"], form.cleaned_data.get("suspended_g"))
            for form in self.forms
            if form.is_valid() and form.cleaned_data.get("dry_g") is not None
        ]


PieceFormSet: type[PieceRows] = forms.formset_factory(  # type: ignore[assignment]
    PieceForm, formset=PieceRows, extra=0, max_num=MOST_ROWS, validate_max=True
)


def piece_rows(data: QueryDict | None, test: AbsorptionTest) -> PieceRows:
    """Rows for a test's pieces, as they stand or as they were typed, and empty ones below."""
    standing = [{name: getattr(one, name) for name in MASSES} for one in test.pieces.all()] if test.pk else []
    empty = max(ROWS_AT_FIRST - len(standing), ROWS_SPARE)
    return PieceFormSet(data, initial=[*standing, *({} for _ in range(empty))][:MOST_ROWS], prefix="pieces")


class LeachForm(WareForm):
    """A laboratory's report without its figures."""

    glaze = forms.ModelChoiceField(
        Glaze.objects.all(), required=False, empty_label="choose, or name the tile"
    )
    atmosphere = forms.ChoiceField(
        choices=[("", "not known"), *Atmosphere.choices()],
        required=False,
        help_text="Only where the firing is not in the logbook.",
    )
    article_count = forms.IntegerField(
        label="How many of it", required=False, min_value=1, max_value=1000,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        help_text="Rules ask for several.",
    )  # fmt: skip

    class Meta:
        model = LeachReport
        fields = (
            "glaze", "tile", "body", "firing", "cone_order", "atmosphere", "article", "article_count", "laboratory",
            "accreditation", "report_number", "sampled_on", "method", "rule", "rule_words", "note",
        )  # fmt: skip
        widgets = {
            "sampled_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "note": forms.Textarea(attrs={"rows": 2}),
        }
        help_texts = {
            "article": "Such as: mug, 0.3 l, glazed all over.",
            "rule": "By where the ware is sold and by its shape.",
            "rule_words": "Only for limits that the report names: which rule, where it is in force, of which date.",
        }

    def __init__(self, *args: Any, rows: "LeachRows | None" = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.rows = rows

    def clean(self) -> dict[str, Any]:
        super().clean()
        self.check_day("sampled_on")
        self.check_ware()
        given = self.cleaned_data
        if not given.get("glaze") and not given.get("tile") and not {"glaze", "tile"} & set(self.errors):
            self.add_error("glaze", "Choose the glaze, or write the number of the tile.")
        if given.get("firing") and given.get("atmosphere"):
            given["atmosphere"] = ""
        if given.get("rule") == LeachRule.REPORT and not given.get("rule_words"):
            self.add_error(
                "rule_words", "Write which rule the report names, where it is in force and its date."
            )
        return given

    def differences(self, current: Kept) -> Iterator[Difference]:
        yield from super().differences(current)
        standing = [figure_facts(one) for one in cast(LeachReport, current).figures.all()]
        typed = self.rows.figures() if self.rows else standing
        if typed != standing:
            yield Difference("Figures", figures_words(typed), figures_words(standing))


@dataclass(frozen=True, slots=True)
class FigureFacts:
    """One line of a report."""

    element: str
    amount: Decimal
    unit: str
    is_less: bool
    limit_amount: Decimal | None

    @property
    def words(self) -> str:
        return f"{self.element} {Figure(self.element, float(self.amount), self.unit, self.is_less).words}"


def figure_facts(figure: LeachFigure) -> FigureFacts:
    """A line as it stands."""
    return FigureFacts(figure.element, figure.amount, figure.unit, figure.is_less, figure.limit_amount)


def figures_words(figures: Sequence[FigureFacts]) -> str:
    """Lines in one: "Pb less than 0.05 mg/l; Cd 0.01 mg/l"."""
    return "; ".join(one.words for one in figures)


class MeasuredField(forms.CharField):
    """A figure as a report has it: 0.05, or <0.05 for less than that; its value is the figure and which of the two."""

    def to_python(self, value: Any) -> Any:
        text = str(value or "").strip()
        if not text:
            return None
        less = text.startswith(("<", "‹"))
        figure = FigureField(
            min_value=Decimal(0), max_value=Decimal(10_000), decimal_places=5,
            error_messages={"max_decimal_places": "Five places behind the point are the finest kept."},
        )  # fmt: skip
        return figure.clean(text[1:].strip() if less else text), less


class FigureForm(forms.Form):
    """One element; a row without a figure is no line."""

    element = forms.ChoiceField(choices=[("", ""), *Element.choices()], required=False)
    measured = MeasuredField(
        label="Measured",
        required=False,
        max_length=24,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    unit = forms.ChoiceField(choices=LeachUnit.choices(), label="By", required=False)
    limit_amount = FigureField(
        label="Limit in the report",
        required=False,
        min_value=Decimal(0),
        max_value=Decimal(10_000),
        decimal_places=5,
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        measured = cleaned.get("measured")
        if measured and not cleaned.get("element") and "element" not in self.errors:
            self.add_error("element", "Choose which element this figure is of.")
        if measured and measured[1] and not measured[0]:
            self.add_error(
                "measured", "No figure is less than nothing. Write what the report has after the sign <."
            )
        if cleaned.get("limit_amount") is not None and not measured and "measured" not in self.errors:
            self.add_error("measured", "Write what was measured beside this limit.")
        return cleaned


class LeachRows(forms.BaseFormSet):
    """The figures of one report, each element once."""

    def clean(self) -> None:
        if any(self.errors):
            return
        elements = [one.element for one in self.figures()]
        if not elements:
            raise ValidationError("Write at least one figure of the report.")
        if twice := next((one for one in elements if elements.count(one) > 1), ""):
            raise ValidationError(f"{Element.label_of(twice)} stands twice. Keep one figure of each element.")

    def figures(self) -> list[FigureFacts]:
        """What was typed, row by row, without those left empty; only of rows that are right."""
        return [
            FigureFacts(
                given["element"],
                measured[0],
                given["unit"] or LeachUnit.MG_PER_L,
                measured[1],
                given["limit_amount"],
            )
            for form in self.forms
            if form.is_valid() and (given := form.cleaned_data) and (measured := given.get("measured"))
        ]


LeachFormSet: type[LeachRows] = forms.formset_factory(  # type: ignore[assignment]
    FigureForm, formset=LeachRows, extra=0, max_num=MOST_ROWS, validate_max=True
)


def leach_rows(data: QueryDict | None, report: LeachReport) -> LeachRows:
    """Rows for a report's figures, lead and cadmium first where it is new, and empty ones below."""
    first = [{"element": Element.LEAD.value}, {"element": Element.CADMIUM.value}]
    standing = [_typed_as(one) for one in report.figures.all()] if report.pk else first
    return LeachFormSet(
        data, initial=[*standing, *({} for _ in range(ROWS_SPARE))][:MOST_ROWS], prefix="figures"
    )


def _typed_as(figure: LeachFigure) -> dict[str, Any]:
    written = f"{'<' if figure.is_less else ''}{figure.amount.normalize():f}"
    return {
        "element": figure.element,
        "measured": written,
        "unit": figure.unit,
        "limit_amount": figure.limit_amount,
    }
