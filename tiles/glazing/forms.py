"""What people type while they glaze: what a coat is put on with, which tiles, and the sheet from the clip-board."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from firings.forms import read_typed
from tiles.boards.forms import tiles_typed
from tiles.glazing import typed
from tiles.glazing.services import Details, Written
from tiles.models import Glaze, GlazeBatch, Layer, Tile
from tiles.recording.grid import GRAVITY, LONGEST_TOOL, Amount, read_measure
from tiles.recording.queries import amount_of

BOX = {"autocomplete": "off"}
# A phone that lay in a drawer for a month has nothing to say of when a coat dries.
LONGEST_WAIT_S = 30 * 24 * 3600


class DetailsForm(forms.Form):
    """The lot, the specific gravity and the brush of the next coat."""

    batch = forms.ModelChoiceField(
        GlazeBatch.objects.none(), required=False, label="Lot", empty_label="not said"
    )
    gravity = forms.CharField(
        required=False,
        max_length=12,
        label="Specific gravity",
        widget=forms.TextInput(attrs={**BOX, "inputmode": "decimal"}),
    )
    tool = forms.CharField(
        required=False, max_length=LONGEST_TOOL, label="Brush or tool", widget=forms.TextInput(attrs=BOX)
    )
    note = forms.CharField(
        required=False, max_length=500, label="Note on this tile", widget=forms.TextInput(attrs=BOX)
    )
    # How long a tap waited on the phone for a network, in seconds; the page's own script says it.
    ago_s = forms.IntegerField(
        required=False, min_value=0, max_value=LONGEST_WAIT_S, widget=forms.HiddenInput
    )

    def __init__(self, glaze_id: int, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        batches = GlazeBatch.objects.filter(glaze=glaze_id).order_by("-opened_on", "lot")
        self.fields["batch"].queryset = batches  # type: ignore[attr-defined]

    def clean_gravity(self) -> Any:
        return read_typed(read_measure, self.cleaned_data["gravity"], GRAVITY)

    def ago(self) -> timedelta:
        """How long ago the coat went on; the form is valid."""
        return timedelta(seconds=self.cleaned_data["ago_s"] or 0)

    def details(self) -> Details:
        """What was typed; the form is valid."""
        batch = self.cleaned_data["batch"]
        typed_in = self.cleaned_data
        return Details(
            batch and batch.pk, typed_in["gravity"], typed_in["tool"].strip(), typed_in["note"].strip()
        )


class ChooseForm(forms.Form):
    """Some tiles by their numbers."""

    tiles = forms.CharField(
        label="Some tiles, by their numbers",
        max_length=20_000,
        help_text="Typed or scanned, in the order you want them.",
        widget=forms.TextInput(attrs=BOX),
    )

    def clean_tiles(self) -> list[Tile]:
        return tiles_typed(self.cleaned_data["tiles"])


@dataclass(frozen=True, slots=True)
class SheetCell:
    """The box of one layer of one tile."""

    layer: Layer
    zones: tuple[str, ...]
    box: forms.BoundField


@dataclass(frozen=True, slots=True)
class SheetLine:
    """The boxes of one tile."""

    tile: Tile
    is_glazed: forms.BoundField
    cells: tuple[SheetCell, ...]
    note: forms.BoundField
    stamp: forms.BoundField


class SheetForm(forms.Form):
    """The clip-board sheet, typed in: a row a tile in the sheet's order, a box a layer, faults beside their boxes."""

    glazed_on = forms.DateField(
        label="Glazed on",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"required": "Say the day.", "invalid": "Write the day as 2026-11-26."},
    )

    def __init__(self, tiles: Sequence[Tile], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.tiles = list(tiles)
        self.fields["glazed_on"].initial = timezone.localdate
        self.glazes: dict[int, Glaze] = {}
        self._covered = {tile.pk: list(_layers_of(tile)) for tile in self.tiles}
        for tile in self.tiles:
            self._add_row(tile)
        self._add_details()

    def _add_row(self, tile: Tile) -> None:
        self.fields[f"on-{tile.pk}"] = forms.BooleanField(
            required=False, initial=True, label=f"{tile.label} is glazed"
        )
        self.fields[f"stamp-{tile.pk}"] = forms.IntegerField(
            initial=tile.stamp, min_value=0, max_value=2**31 - 1, widget=forms.HiddenInput
        )
        self.fields[f"note-{tile.pk}"] = forms.CharField(
            required=False,
            max_length=500,
            label=f"Note on {tile.label}",
            widget=forms.TextInput(attrs=BOX),
        )
        for layer, zones, amounts in self._covered[tile.pk]:
            self.glazes[layer.glaze_id] = layer.glaze
            self.fields[f"coats-{layer.pk}"] = forms.CharField(
                required=False,
                max_length=60,
                initial=typed.written(amounts),
                label=f"{tile.label}: {layer.glaze} on {', '.join(zones)}",
                widget=forms.TextInput(attrs={**BOX, "inputmode": "text", "size": 6}),
            )

    def _add_details(self) -> None:
        lots: dict[int, list[tuple[str, str]]] = {}
        for batch in GlazeBatch.objects.filter(glaze__in=self.glazes).order_by("-opened_on", "lot"):
            lots.setdefault(batch.glaze_id, []).append((str(batch.pk), batch.lot))
        for key in self.glazes:
            self.fields[f"batch-{key}"] = forms.ChoiceField(
                required=False,
                choices=[("", "as planned"), *lots.get(key, [])],
                label="Lot",
                error_messages={"invalid_choice": "Choose a lot of this glaze."},
            )
            self.fields[f"gravity-{key}"] = forms.CharField(
                required=False,
                max_length=12,
                label="Specific gravity",
                widget=forms.TextInput(attrs={**BOX, "inputmode": "decimal", "size": 6}),
            )
            self.fields[f"tool-{key}"] = forms.CharField(
                required=False,
                max_length=LONGEST_TOOL,
                label="Brush or tool",
                widget=forms.TextInput(attrs=BOX),
            )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for tile in self.tiles:
            if cleaned.get(f"on-{tile.pk}"):
                self._read_row(tile, cleaned)
        for key in self.glazes:
            self._read(f"gravity-{key}", cleaned, read_measure, GRAVITY)
        if not any(cleaned.get(f"on-{tile.pk}") for tile in self.tiles):
            raise ValidationError("No tile is ticked as glazed. Tick those that are.")
        return cleaned

    def _read_row(self, tile: Tile, cleaned: dict[str, Any]) -> None:
        amounts: list[Amount | None] = []
        for layer, zones, _ in self._covered[tile.pk]:
            self._read(f"coats-{layer.pk}", cleaned, typed.read, layer.method, zones)
            amounts += cleaned.get(f"coats-{layer.pk}") or []
        if not any(amounts) and not self.errors:
            self.add_error(f"on-{tile.pk}", "Nothing lies on it: write its coats, or take the tick off.")

    def _read(self, name: str, cleaned: dict[str, Any], reader: Any, *bounds: Any) -> None:
        if name in cleaned:
            try:
                cleaned[name] = read_typed(reader, cleaned[name], *bounds)
            except ValidationError as wrong:
                self.add_error(name, wrong)

    @property
    def has_faults(self) -> bool:
        return any(name in self.fields for name in self.errors)

    @property
    def faults(self) -> Iterator[tuple[str, forms.BoundField]]:
        """The boxes that need another look, in their order on the page, each with what to call it."""
        for name in self.fields:
            if self[name].errors:
                yield str(self[name].label), self[name]

    @property
    def lines(self) -> Iterator[SheetLine]:
        for tile in self.tiles:
            cells = tuple(
                SheetCell(layer, tuple(zones), self[f"coats-{layer.pk}"])
                for layer, zones, _ in self._covered[tile.pk]
            )
            yield SheetLine(
                tile, self[f"on-{tile.pk}"], cells, self[f"note-{tile.pk}"], self[f"stamp-{tile.pk}"]
            )

    @property
    def used(self) -> Iterator[tuple[Glaze, forms.BoundField, forms.BoundField, forms.BoundField]]:
        """Each glaze of the sheet with the boxes of its lot, its specific gravity and its brush."""
        for key, glaze in self.glazes.items():
            yield glaze, self[f"batch-{key}"], self[f"gravity-{key}"], self[f"tool-{key}"]

    def written(self) -> list[Written]:
        """The rows that are ticked; the form is valid."""
        return [
            Written(
                tile,
                self.cleaned_data[f"stamp-{tile.pk}"],
                {
                    str(layer.pk): dict(zip(zones, self.cleaned_data[f"coats-{layer.pk}"], strict=True))
                    for layer, zones, _ in self._covered[tile.pk]
                },
                self.cleaned_data[f"note-{tile.pk}"].strip(),
            )
            for tile in self.tiles
            if self.cleaned_data[f"on-{tile.pk}"]
        ]

    def day(self) -> date:
        day: date = self.cleaned_data["glazed_on"]
        return day

    def details(self) -> Mapping[int, Details]:
        """What each glaze was put on with, by its key."""
        typed_in = self.cleaned_data
        return {
            key: Details(
                int(typed_in[f"batch-{key}"] or 0) or None,
                typed_in[f"gravity-{key}"],
                typed_in[f"tool-{key}"].strip(),
            )
            for key in self.glazes
        }


def _layers_of(tile: Tile) -> Iterator[tuple[Layer, list[str], list[Amount]]]:
    """The layers of its first glazing, bottom first, each with its zones in order and the amounts planned on them."""
    zones = {zone.pk: zone for zone in tile.zones.all()}
    for layer in tile.layers.all():
        if layer.after_firings:
            continue
        covers = sorted(layer.coverages.all(), key=lambda cover: zones[cover.zone_id].position)
        if covers:
            names = [zones[cover.zone_id].name for cover in covers]
            yield layer, names, [amount_of(cover) for cover in covers]
