"""What is to be made public: a tile by its number, a range sheet by glaze and address, a board."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict

from firings.keys import key_of
from tiles import numbers
from tiles.models import Board, Glaze, Tile
from tiles.ranges import queries as ranges
from tiles.ranges.address import write

KINDS = ("tile", "sheet", "board")


class PublishForm(forms.Form):
    """One thing, named as the print tray names it: a tile's label, ``5?rows=body&columns=cone``, a board's key."""

    kind = forms.ChoiceField(choices=[(kind, kind) for kind in KINDS])
    key = forms.CharField(max_length=320)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        kind, key = cleaned.get("kind"), cleaned.get("key", "")
        if kind == "tile":
            cleaned["of"] = {"tile": _tile(key)}
        elif kind == "sheet":
            cleaned["of"] = _sheet(key)
        elif kind == "board":
            cleaned["of"] = {"board": _found(Board.objects.filter(pk=key_of(key)).first())}
        return cleaned


def _found(record: Any) -> Any:
    if record is None:
        raise ValidationError("That is not in the logbook any more. Nothing was made public.")
    return record


def _tile(label: str) -> Tile:
    try:
        return _found(Tile.objects.filter(number=numbers.read(label)).first())
    except ValueError as wrong:
        raise ValidationError(f"{wrong}") from None


def _sheet(key: str) -> dict[str, Any]:
    number, _, query = key.partition("?")
    glaze = _found(Glaze.objects.filter(pk=key_of(number)).first())
    return {"glaze": glaze, "query": write(ranges.asked_of(glaze, QueryDict(query).dict()))}
