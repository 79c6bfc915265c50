"""A board's name and size, what goes into a slot, and the rule by which a board is laid out."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from firings.forms import KeptForm, NamesField
from firings.models import User
from tiles import numbers
from tiles.boards.layout import Axis, Slot
from tiles.boards.queries import Source
from tiles.loading.typed import read_numbers
from tiles.models import Board, BoardSlot, Glaze, SavedSearch, Series, Tile

MOST_SIDE = 60


def _side(label: str) -> forms.IntegerField:
    return forms.IntegerField(
        label=label,
        min_value=1,
        max_value=MOST_SIDE,
        widget=forms.NumberInput(attrs={"inputmode": "numeric", "min": 1, "max": MOST_SIDE}),
    )


class BoardForm(KeptForm):
    """A board's name and size. It does not shrink over tiles that hang on it."""

    once = ("name",)
    rows = _side("Rows")
    columns = _side("Columns")

    class Meta:
        model = Board
        fields = ("name", "rows", "columns", "note")
        widgets = {
            "name": forms.TextInput(attrs={"autocomplete": "off"}),
            "note": forms.Textarea(attrs={"rows": 2}),
        }
        help_texts = {"name": "Such as: By the door."}

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        for side, across in (("rows", "row"), ("columns", "column")):
            outside = BoardSlot.objects.filter(
                board=self.instance.pk, tile__binned_at__isnull=True, tile__isnull=False
            ).filter(**{f"{across}__gt": cleaned.get(side) or MOST_SIDE})
            if self.instance.pk and (last := outside.order_by(f"-{across}").first()):
                self.add_error(
                    side, f"Tiles hang as far as {across} {getattr(last, across)}. Move them first."
                )
        return cleaned


def tiles_typed(text: str) -> list[Tile]:
    """The tiles of typed or scanned numbers, in that order.

    Raises ValidationError with every number that is wrong or that no tile has.
    """
    typed = read_numbers(text)
    found = {tile.number: tile for tile in Tile.objects.filter(number__in=typed.numbers)}
    missing = [numbers.write(number) for number in typed.numbers if number not in found]
    troubles = [*typed.troubles, *(f"No tile has the number {label}." for label in missing)]
    if troubles:
        raise ValidationError(troubles)
    return [found[number] for number in typed.numbers]


class HangForm(forms.Form):
    """Which tiles go into a slot and those that follow."""

    numbers = forms.CharField(
        label="Tile number",
        max_length=4000,
        help_text="Typed or scanned. Several, with commas between, fill the free slots that follow.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "inputmode": "text", "autofocus": True}),
    )

    def clean_numbers(self) -> list[Tile]:
        return tiles_typed(self.cleaned_data["numbers"])


class WantForm(forms.Form):
    """What should hang in a slot."""

    wanted = forms.CharField(
        label="Wanted here",
        max_length=200,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )


class MoveForm(forms.Form):
    """Where to."""

    row = forms.IntegerField(label="Row", widget=forms.NumberInput(attrs={"inputmode": "numeric"}))
    column = forms.IntegerField(label="Column", widget=forms.NumberInput(attrs={"inputmode": "numeric"}))

    def __init__(self, *args: Any, board: Board, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.board = board

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        for side, most in (("row", self.board.rows), ("column", self.board.columns)):
            if side in cleaned and not 1 <= cleaned[side] <= most:
                self.add_error(side, f"This board has {side}s 1 to {most}.")
        return cleaned

    @property
    def to(self) -> Slot:
        """The slot that was named; only of a valid form."""
        return self.cleaned_data["row"], self.cleaned_data["column"]


class RuleForm(forms.Form):
    """The tiles to choose from and what stands across and down."""

    across = forms.ChoiceField(label="Across", choices=Axis.choices())
    down = forms.ChoiceField(
        label="Down", choices=[*Axis.choices(), ("", "nothing: one after another")], required=False
    )
    glaze = forms.ModelChoiceField(Glaze.objects.order_by("name"), required=False, empty_label="any")
    series = NamesField(Series.objects.order_by("name"), required=False, empty_label="any")
    saved = forms.ModelChoiceField(
        SavedSearch.objects.none(), label="Saved search", required=False, empty_label="none"
    )
    numbers = forms.CharField(
        label="Only these tiles",
        max_length=20_000,
        required=False,
        help_text="Numbers, typed or scanned; nothing means all.",
        widget=forms.Textarea(attrs={"rows": 2, "autocomplete": "off"}),
    )
    results = forms.CharField(required=False, max_length=2000, widget=forms.HiddenInput)
    take = forms.BooleanField(label="Also tiles that hang on another board now", required=False)

    def __init__(self, *args: Any, person: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        saved: Any = self.fields["saved"]
        saved.queryset = SavedSearch.objects.for_person(person)

    def clean_numbers(self) -> list[Tile]:
        return tiles_typed(self.cleaned_data["numbers"])

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if cleaned.get("across") and cleaned.get("across") == cleaned.get("down"):
            self.add_error("down", "The same condition cannot stand across and down. Choose another.")
        if not self.errors and self.source().says_nothing:
            raise ValidationError("Say which tiles: a glaze, a series, a saved search or numbers.")
        return cleaned

    def source(self) -> Source:
        """The tiles to choose from."""
        said = self.cleaned_data
        return Source(
            said.get("glaze"),
            said.get("series"),
            said.get("saved"),
            tuple(tile.number for tile in said.get("numbers") or ()),
            said.get("results", ""),
        )

    @property
    def axes(self) -> tuple[Axis, Axis | None]:
        """What stands across and down; only of a valid form."""
        down = self.cleaned_data["down"]
        return Axis(self.cleaned_data["across"]), Axis(down) if down else None
