"""What a person says of a spreadsheet: which file, what its columns hold, what its names mean, cells mended."""

from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import QueryDict

from firings.keys import is_key
from studio.importing import cells
from studio.importing.fields import KINDS, Field
from studio.importing.names import WORDS, folded
from studio.importing.told import MAKE_NEW, Told

# What may be said once for the whole sheet, where a row says nothing.
DEFAULTS = ("body", "form", "kiln", "date", "cone", "atmosphere", "hold", "glaze", "coats", "method")
DAYS = (
    ("", "as the cells tell; ask where two days could be meant"),
    (cells.DAY, "days first: 14/10"),
    (cells.MONTH, "months first: 10/14"),
)
LONGEST = 200
MOST_MENDED = 200
# Letters. Whoever has more has it as a file.
PASTED_AT_MOST = 1_000_000


def _typed(words: str) -> str:
    """Words as they were typed, without what no database keeps in a text."""
    return words.replace("\0", "").strip()[:LONGEST]


class FileForm(forms.Form):
    """A spreadsheet to bring in, or its rows typed or pasted."""

    kind = forms.ChoiceField(
        label="What its rows are", choices=list(KINDS.items()), widget=forms.RadioSelect, initial="results"
    )
    file = forms.FileField(
        label="The spreadsheet",
        required=False,
        error_messages={"empty": "The file is empty. Save the spreadsheet again."},
    )
    pasted = forms.CharField(
        label="Or its rows, typed or pasted",
        required=False,
        strip=False,
        max_length=PASTED_AT_MOST,
        widget=forms.Textarea(attrs={"rows": 5}),
        error_messages={
            "max_length": "That is too much to paste. Save it as a spreadsheet and choose the file above."
        },
    )

    def clean(self) -> dict[str, Any]:
        """One of both, as two lists at once would be two things to undo."""
        told: dict[str, Any] = super().clean() or self.cleaned_data
        has_rows = bool(told.get("pasted", "").strip())
        if told.get("file") and has_rows:
            self.add_error(
                "pasted", "Bring in the file or these rows, one after the other. Empty this field first."
            )
        elif not told.get("file") and not has_rows and not {"file", "pasted"} & self.errors.keys():
            self.add_error("file", "Choose the spreadsheet first, or write its rows below.")
        return told


@dataclass(frozen=True, slots=True)
class Asked:
    """How a sheet is to be read, as the page of its columns was filled in."""

    columns: dict[str, str]
    above: list[int]
    defaults: dict[str, str]
    days: str
    anew: bool

    def take(self, told: Told) -> None:
        """Write it into what is told."""
        told.columns, told.above, told.days, told.anew = self.columns, self.above, self.days, self.anew
        told.defaults, told.seen = self.defaults, True


def columns_asked(typed: QueryDict, places: Collection[int], fields: Collection[Field]) -> Asked:
    """The page of columns as it was filled in; what is none of its choices is left out."""
    known = {field.key for field in fields}
    columns = {str(place): typed.get(f"column-{place}", "") for place in places}
    return Asked(
        columns={place: key if key in known else "" for place, key in columns.items()},
        above=[place for place in places if typed.get(f"above-{place}")],
        defaults={key: words for key in DEFAULTS if (words := _typed(typed.get(f"default-{key}", "")))},
        days=typed.get("days", "") if typed.get("days") in (cells.DAY, cells.MONTH) else "",
        anew=bool(typed.get("anew")),
    )


def names_asked(typed: QueryDict) -> Callable[[Told], None]:
    """What names are to mean: each a record's key, another new name behind a "=", or a new one."""
    told_of = zip(typed.getlist("kind"), typed.getlist("name"), typed.getlist("taken_for"), strict=False)
    asked = [(kind, folded(_typed(name)), meant) for kind, name, meant in told_of if kind in WORDS]

    def take(told: Told) -> None:
        for kind, name, meant in asked:
            if meant.startswith("="):
                told.joined.setdefault(kind, {})[name] = _typed(meant[1:])
                told.names.get(kind, {}).pop(name, None)
            elif is_key(meant):
                told.names.setdefault(kind, {})[name] = int(meant) or MAKE_NEW
                told.joined.get(kind, {}).pop(name, None)

    return take


def cells_mended(typed: QueryDict) -> Callable[[Told], None]:
    """Cells as they are to be read: all that say the same in one column, at once."""
    asked = [
        (place, cell.replace("\0", ""), _typed(words))
        for place, cell, words in zip(
            typed.getlist("place"), typed.getlist("cell"), typed.getlist("words"), strict=False
        )
        if place.isascii() and place.isdigit() and len(place) < 6 and _typed(words) != cell
    ][:MOST_MENDED]

    def take(told: Told) -> None:
        for place, cell, words in asked:
            mended = told.mended.setdefault(place, {})
            for standing, became in list(mended.items()):
                if became == cell:
                    mended[standing] = words
            mended[cell] = words

    return take
