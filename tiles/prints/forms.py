"""What to print, on which paper, and label stock of one's own."""

from decimal import Decimal
from functools import cached_property
from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils.http import urlencode

from firings.forms import KeptForm
from firings.models import User
from firings.preferences import Preferences
from tiles.models import LabelStock, TileForm
from tiles.photos.mat_sheet import SHEETS, MatSheet
from tiles.prints import mat, queries
from tiles.prints.cards import PAPERS, SIZES, CardJob
from tiles.prints.labels import LabelJob
from tiles.prints.lengths import read_mm
from tiles.prints.printers import queries as printers
from tiles.prints.queries import Selection, StockChoice
from tiles.prints.stock import Calibration, Stock

CARDS, LABELS = "cards", "labels"
# A page of photographs takes the server about a second; more is better printed in parts.
MOST = {CARDS: 400, LABELS: 2000}


class PrintForm(forms.Form):
    """What is to be printed. It reads an address, so every field has a value it takes when nothing is said."""

    kind = forms.ChoiceField(
        label="Print", choices=[(CARDS, "cards"), (LABELS, "labels")], widget=forms.RadioSelect, initial=CARDS
    )
    tiles = forms.CharField(
        label="Tile numbers",
        required=False,
        help_text="With their check digits, such as 1042-9, 1043-2.",
        widget=forms.Textarea(attrs={"rows": 2, "inputmode": "numeric", "autocomplete": "off"}),
    )
    firing = forms.CharField(required=False, widget=forms.HiddenInput)
    results = forms.CharField(required=False, widget=forms.HiddenInput)
    size = forms.ChoiceField(
        label="Card size",
        choices=[(key, size.name) for key, size in SIZES.items()],
        widget=forms.RadioSelect,
        initial="medium",
    )
    paper = forms.ChoiceField(
        label="Paper", choices=[(name, name) for name in PAPERS], widget=forms.RadioSelect
    )
    stock = forms.ChoiceField(
        label="Label sheet or roll", widget=forms.Select(attrs={"data-kind": "labelstock"})
    )
    start = forms.IntegerField(label="First free label", min_value=1, initial=1)
    codes = forms.ChoiceField(
        label="QR code",
        choices=[("yes", "with code"), ("no", "without")],
        widget=forms.RadioSelect,
        initial="yes",
    )

    printer = forms.ChoiceField(label="Printer", required=False)

    def __init__(self, asked: dict[str, str], preferences: Preferences, person: User = None) -> None:
        self.preferences = preferences
        self.stocks = {choice.key: choice for choice in queries.stock_choices()}
        said = {**self._usual(), **asked}
        self.used = frozenset(queries.used_cells(person, said["stock"]))
        if "start" not in asked or asked.get("start_on", said["stock"]) != said["stock"]:
            said["start"] = self._first_free(said["stock"])
        usual = printers.usual_printer(person) if person else None
        said.setdefault("printer", str(usual.pk) if usual else "")
        super().__init__(said)
        self.printers = {str(one.pk): one for one in printers.all_printers()}
        printer = cast(forms.ChoiceField, self.fields["printer"])
        printer.choices = [("", "any, uncorrected"), *((key, str(one)) for key, one in self.printers.items())]
        stock = cast(forms.ChoiceField, self.fields["stock"])
        stock.choices = _grouped(list(self.stocks.values()))

    @cached_property
    def selection(self) -> Selection:
        """The tiles that were asked for, also where the rest of the form is wrong."""
        return queries.selection(*(self.data.get(name, "") for name in ("tiles", "firing", "results")))

    @property
    def chosen_stock(self) -> StockChoice:
        """The stock asked for, or the first one where that is unknown."""
        return self.stocks.get(self.data["stock"]) or next(iter(self.stocks.values()))

    @property
    def kind_asked(self) -> str:
        return LABELS if self.data["kind"] == LABELS else CARDS

    @property
    def address(self) -> str:
        """This page with what was chosen so far."""
        said = {name: self.data[name] for name in self.fields if self.data.get(name)}
        return f"{reverse('tiles:prints:choose')}?{urlencode(said)}"

    @property
    def is_empty(self) -> bool:
        """Whether no tiles were asked for at all."""
        return not any(self.data.get(name, "").strip() for name in ("tiles", "firing", "results"))

    def is_ready(self) -> bool:
        """Whether it can be printed: all is well and there are tiles; else the errors say what is missing."""
        if self.is_valid() and not self.selection.tiles:
            self.add_error("tiles", "Say which tiles to print.")
        return self.is_valid()

    @property
    def calibration(self) -> Calibration:
        """What makes the chosen printer print true; only of a valid form."""
        return printers.calibration_of(self.printers.get(self.cleaned_data["printer"]))

    def _first_free(self, stock_key: str) -> int:
        choice = self.stocks.get(stock_key)
        cells = range(1, choice.stock.labels_per_sheet + 1) if choice else range(1, 2)
        return next((cell for cell in cells if cell not in self.used), 1)

    def card_job(self) -> CardJob:
        """How the cards are to be printed; only of a valid form."""
        said = self.cleaned_data
        return CardJob(
            size=said["size"],
            paper=said["paper"],
            title=f"Tile cards, {self.selection.title}",
            studio=self.preferences.studio_name,
            calibration=self.calibration,
        )

    def label_job(self) -> LabelJob:
        """How the labels are to be printed; only of a valid form."""
        said = self.cleaned_data
        return LabelJob(
            stock=self.chosen_stock.stock,
            start_cell=said["start"],
            used=frozenset(cell for cell in self.used if cell > said["start"]),
            codes=said["codes"] == "yes",
            title=f"Labels, {self.selection.title}",
            studio=self.preferences.studio_name,
            calibration=self.calibration,
        )

    def clean(self) -> dict[str, Any]:
        said = super().clean() or self.cleaned_data
        for trouble in self.selection.troubles:
            self.add_error("tiles", trouble)
        self._check_count()
        self._check_start(said)
        return said

    def _check_count(self) -> None:
        count, kind = len(self.selection.tiles), self.kind_asked
        if count > MOST[kind]:
            self.add_error(
                None,
                f"These are {count} tiles. Print at most {MOST[kind]} {kind} at a time: ask for fewer tiles.",
            )
        if not count and not self.is_empty and not self.selection.troubles:
            self.add_error(None, "There are no tiles in it, so there is nothing to print.")

    def _check_start(self, said: dict[str, Any]) -> None:
        last = self.chosen_stock.stock.labels_per_sheet
        if self.kind_asked == LABELS and said.get("start", 1) > last:
            self.add_error("start", f"This sheet has {last} labels. Choose one of 1 to {last}.")

    def _usual(self) -> dict[str, Any]:
        """What is taken when the address says nothing."""
        usual = {name: field.initial for name, field in self.base_fields.items() if field.initial is not None}
        first = queries.usual_stock(list(self.stocks.values()), self.preferences.paper)
        return usual | {"paper": self.preferences.paper, "stock": first.key}


def _grouped(choices: list[StockChoice]) -> list[Any]:
    own = [(choice.key, choice.stock.name) for choice in choices if choice.saved]
    known = [(choice.key, choice.stock.name) for choice in choices if not choice.saved]
    return [("Your own", own), ("Common sizes", known)] if own else known


class MatForm(forms.Form):
    """Which photo mat is to be printed. It reads an address; unsaid, the sheet is the studio’s paper."""

    sheet = forms.ChoiceField(
        label="Sheet", choices=[(key, sheet.name) for key, sheet in SHEETS.items()], widget=forms.RadioSelect
    )
    tile = forms.ModelChoiceField(
        TileForm.objects.all(),
        label="Outline of the tile",
        required=False,
        empty_label="the largest that fits",
        help_text="Every tile lies with its upper left corner in the same mark, so one mat serves all forms.",
    )

    def __init__(self, asked: dict[str, str], preferences: Preferences) -> None:
        usual = next(key for key, sheet in SHEETS.items() if sheet.name == preferences.paper)
        super().__init__({"sheet": usual} | asked)

    @property
    def chosen_sheet(self) -> MatSheet:
        """The sheet asked for, or A4 where that is unknown."""
        return SHEETS.get(self.data["sheet"], SHEETS["A4"])

    @property
    def outline(self) -> mat.Outline | None:
        """What is drawn in the tile's place; only of a valid form."""
        chosen = self.cleaned_data["tile"]
        if chosen is not None:
            return _outline(chosen)
        return mat.largest_that_fits([_outline(form) for form in TileForm.objects.all()], self.chosen_sheet)

    def clean(self) -> dict[str, Any]:
        said = super().clean() or self.cleaned_data
        chosen = said.get("tile")
        if chosen is not None and "sheet" in said:
            trouble = mat.no_room(self.chosen_sheet, _outline(chosen))
            if trouble:
                self.add_error("tile", trouble)
        return said


def _outline(form: TileForm) -> mat.Outline:
    return mat.Outline(form.name, form.width_mm, form.height_mm)


class LengthField(forms.DecimalField):
    """A length in mm, which may also be written in inches: 63,5 or 2 5/8 in."""

    def __init__(self, least: int, most: int, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.TextInput(attrs={"autocomplete": "off"}))
        super().__init__(min_value=Decimal(least), max_value=Decimal(most), **kwargs)

    def to_python(self, value: Any) -> Any:
        if isinstance(value, str) and value.strip():
            try:
                return read_mm(value)
            except ValueError as trouble:
                raise ValidationError(str(trouble), code="invalid") from None
        return super().to_python(value)

    def prepare_value(self, value: Any) -> Any:
        """What stands in the box: 63.5, not 63.50."""
        return f"{value.normalize():f}" if isinstance(value, Decimal) else value


class LabelStockForm(KeptForm):
    """A label sheet or roll described by its numbers."""

    once = ("name",)
    described: Stock
    sheet_width_mm = LengthField(10, 2000, label="Sheet width, mm")
    sheet_height_mm = LengthField(10, 5000, label="Sheet height, mm")
    columns = forms.IntegerField(min_value=1, max_value=50, label="Labels across")
    rows = forms.IntegerField(min_value=1, max_value=100, label="Labels down")
    label_width_mm = LengthField(5, 2000, label="Label width, mm")
    label_height_mm = LengthField(5, 5000, label="Label height, mm")
    pitch_x_mm = LengthField(
        0, 2000, required=False, label="Step across, mm", help_text="Empty: labels touch side by side."
    )
    pitch_y_mm = LengthField(0, 5000, required=False, label="Step down, mm", help_text="Empty: labels touch.")
    margin_left_mm = LengthField(
        0, 2000, required=False, label="Left margin, mm", help_text="Empty: the labels lie in the middle."
    )
    margin_top_mm = LengthField(
        0, 5000, required=False, label="Top margin, mm", help_text="Empty: the labels lie in the middle."
    )
    corner_radius_mm = LengthField(
        0, 50, required=False, label="Round corners, mm", help_text="Empty: square."
    )

    class Meta:
        model = LabelStock
        fields = (
            "name",
            "sheet_width_mm",
            "sheet_height_mm",
            "columns",
            "rows",
            "label_width_mm",
            "label_height_mm",
            "pitch_x_mm",
            "pitch_y_mm",
            "margin_left_mm",
            "margin_top_mm",
            "corner_radius_mm",
        )

    def clean(self) -> dict[str, Any]:
        said = super().clean()
        if self.errors:
            return said
        for across in (True, False):
            _fill_in(said, across=across)
        said["corner_radius_mm"] = said["corner_radius_mm"] or Decimal(0)
        self.described = Stock(**{name: _number(said[name]) for name in self.Meta.fields})
        for field, trouble in self.described.problems():
            self.add_error(field, trouble)
        return said


def _fill_in(said: dict[str, Any], *, across: bool) -> None:
    """Step and margin that were left empty, in one direction."""
    count, label, sheet, step, margin = (
        ("columns", "label_width_mm", "sheet_width_mm", "pitch_x_mm", "margin_left_mm")
        if across
        else ("rows", "label_height_mm", "sheet_height_mm", "pitch_y_mm", "margin_top_mm")
    )
    if said[step] is None or abs(said[step] - said[label]) < Decimal("0.05"):
        said[step] = said[label]
    if said[margin] is None:
        span = (said[count] - 1) * said[step] + said[label]
        said[margin] = max(Decimal(0), ((said[sheet] - span) / 2).quantize(Decimal("0.01")))


def _number(value: Any) -> Any:
    return float(value) if isinstance(value, Decimal) else value
