"""Which tiles go where in a kiln."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from firings.forms import RecordsField
from firings.models import Firing, Shelf
from firings.vocabulary import Purpose
from tiles.loading import queries
from tiles.loading.moves import Move, Named, named
from tiles.loading.typed import read_numbers
from tiles.models import Series, Tile

PLACES = ("back", "middle", "front", "left", "right")


def _millimetres(label: str) -> forms.IntegerField:
    box = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
    return forms.IntegerField(label=label, required=False, min_value=0, max_value=5000, widget=box)


class PlaceForm(forms.Form):
    """Tiles ticked, typed, scanned or taken by series, and the place they are put on."""

    numbers = forms.CharField(
        label="Numbers, typed, scanned or pasted",
        required=False,
        widget=forms.Textarea(
            attrs={"rows": 2, "placeholder": "1042-9, 1043-2", "autocomplete": "off", "inputmode": "text"}
        ),
    )
    tiles = RecordsField(Tile.objects.all(), required=False, to_field_name="number")
    series = forms.ModelChoiceField(
        Series.objects.none(), label="All waiting tiles of a series", required=False, empty_label="no series"
    )
    shelf = forms.ModelChoiceField(
        Shelf.objects.none(), required=False, empty_label="not noted", widget=forms.RadioSelect
    )
    place = forms.CharField(
        label="Place on the shelf",
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs={"list": "places", "autocomplete": "off", "placeholder": "front"}),
    )
    on_cookie = forms.BooleanField(label="On a cookie", required=False)

    def __init__(self, *args: Any, firing: Firing, series: list[Series], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.firing = firing
        self.fields["shelf"].queryset = queries.shelves_of(firing.kiln)  # type: ignore[attr-defined]
        self.fields["series"].queryset = Series.objects.filter(pk__in=[row.pk for row in series])  # type: ignore[attr-defined]
        if firing.purpose == Purpose.BISQUE.value:
            for name in ("shelf", "place", "on_cookie"):
                del self.fields[name]

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        typed, troubles = queries.tiles_typed(read_numbers(given.get("numbers", "")))
        for trouble in troubles:
            self.add_error("numbers", trouble)
        of_series = queries.waiting_of_series(self.firing, given["series"].pk) if given.get("series") else []
        self.tile_ids = {*typed, *of_series, *(tile.pk for tile in given.get("tiles", ()))}
        if not self.tile_ids and not self.errors:
            raise ValidationError("Tick a tile, type its number, or choose a series.")
        return given


class MoveForm(forms.Form):
    """One piece of a load to another place: a tile or a pack of witness cones, with the state of it that was seen."""

    piece = forms.CharField(label="Tile or witness cones", widget=forms.Select)
    shelf = forms.ModelChoiceField(Shelf.objects.none(), required=False, empty_label="no shelf")
    x_mm = _millimetres("From the left, mm")
    y_mm = _millimetres("From the back, mm")

    def __init__(self, *args: Any, firing: Firing, pieces: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["piece"].widget.choices = pieces
        self.fields["shelf"].queryset = queries.shelves_of(firing.kiln)  # type: ignore[attr-defined]

    def clean_piece(self) -> Named:
        try:
            return named(self.cleaned_data["piece"])
        except ValueError as trouble:
            raise ValidationError(str(trouble)) from None

    def move(self) -> Move:
        """Where it goes, for the services."""
        given = self.cleaned_data
        return Move(given["shelf"], given["x_mm"], given["y_mm"])
