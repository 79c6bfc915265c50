"""What people type about tiles: the recipe around the coat grid, the grid itself, the pattern, a series."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.urls import reverse_lazy
from django.utils import timezone
from django.utils.functional import cached_property

from firings.cones import series
from firings.cones.forms import ConeField
from firings.forms import Difference, NamesField, NamesMenu, RecordsField
from firings.models import Firing
from firings.vocabulary import Atmosphere
from tiles import numbers
from tiles.conditions.line import date_words
from tiles.models import ClayBody, Series, Tile, TileForm
from tiles.recording import pattern, queries
from tiles.recording.grid import (
    MOST_LAYERS,
    LayerRecipe,
    OnHand,
    Reading,
    Recipe,
    TypedLayer,
    read_grid,
    typed_layers,
)
from tiles.recording.layout import Catalogue, GlazeFacts, GridRow, LotFacts, coats_words, grid_rows

AS_DATE = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


def _choose(words: str) -> dict[str, str]:
    """One thing to do, whatever was wrong with a choice."""
    return {"required": words, "invalid_choice": words}


class RecipeForm(forms.Form):
    """A tile's facts besides its layers."""

    form = forms.ModelChoiceField(
        TileForm.objects.none(), label="Form", empty_label=None, error_messages=_choose("Choose a tile form.")
    )
    body = forms.ModelChoiceField(
        ClayBody.objects.none(),
        label="Clay body",
        empty_label="choose a body",
        widget=forms.Select(attrs={"data-kind": "body"}),
        error_messages=_choose("Choose a clay body, or add one."),
    )
    body_lot = forms.CharField(required=False, max_length=40, label="Body lot")
    series = NamesField(
        Series.objects.none(),
        required=False,
        empty_label="none",
        widget=NamesMenu(attrs={"data-kind": "series"}),
    )
    planned = ConeField(required=False, label="For cone")
    planned_atmosphere = forms.ChoiceField(
        required=False, choices=[("", "not said"), *Atmosphere.choices()], label="For"
    )
    planned_hold_min = forms.IntegerField(
        required=False,
        min_value=0,
        max_value=6000,
        label="With a hold, min",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages=dict.fromkeys(
            ("invalid", "min_value", "max_value"),
            "Write the minutes of the hold, 0 to 6000, or leave it empty.",
        ),
    )
    glazed_on = forms.DateField(
        required=False,
        widget=AS_DATE,
        label="Glazed on",
        error_messages={"invalid": "Write the day as 2026-10-14, or leave it empty."},
    )
    bisque_firing = forms.ModelChoiceField(Firing.objects.none(), required=False, empty_label="not recorded")
    note = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 2}))

    def __init__(self, *args: Any, tile: Tile | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        querysets = {
            "form": queries.forms_for(tile),
            "body": queries.bodies_for(tile),
            "series": Series.objects.order_by("name"),
            "bisque_firing": queries.bisque_firings(),
        }
        for name, queryset in querysets.items():
            self.fields[name].queryset = queryset  # type: ignore[attr-defined]

    def clean_glazed_on(self) -> Any:
        day = self.cleaned_data["glazed_on"]
        if day and day > timezone.localdate():
            raise ValidationError("This day is still to come. Leave it empty until the tile is glazed.")
        return day

    def recipe(self, layers: Sequence[LayerRecipe]) -> Recipe:
        """The recipe, once this form and the grid read well. A tile without glaze is not glazed on any day."""
        typed = self.cleaned_data
        return Recipe(
            form_id=typed["form"].pk,
            body_id=typed["body"].pk,
            layers=tuple(layers),
            body_lot=typed["body_lot"],
            series_id=typed["series"].pk if typed["series"] else None,
            bisque_firing_id=typed["bisque_firing"].pk if typed["bisque_firing"] else None,
            planned_order=typed["planned"],
            planned_atmosphere=typed["planned_atmosphere"],
            planned_hold_min=typed["planned_hold_min"],
            glazed_on=typed["glazed_on"] if layers else None,
            note=typed["note"],
        )

    def differences(self, current: Tile) -> Iterator[Difference]:
        """Where what was typed differs from what stands there now."""
        standing = facts_of(queries.recipe_of(current))
        for name, field in self.fields.items():
            typed, stands = self.cleaned_data.get(name), standing[name]
            if getattr(typed, "pk", typed) != stands and (typed or stands):
                yield Difference(str(self[name].label), _words(field, typed), _words(field, stands))


def _words(field: forms.Field, value: Any) -> str:
    """A typed or stored value as a person reads it."""
    if not value:
        return ""
    if isinstance(field, ConeField):
        return series.label_of(value)
    if isinstance(field, forms.DateField):
        return date_words(value)
    if isinstance(field, forms.ModelChoiceField):
        return str(field.queryset.filter(pk=getattr(value, "pk", value)).first() or "")  # type: ignore[union-attr]
    return str(value)


def facts_of(recipe: Recipe) -> dict[str, Any]:
    """What RecipeForm starts with, for a recipe."""
    return {
        "form": recipe.form_id,
        "body": recipe.body_id,
        "body_lot": recipe.body_lot,
        "series": recipe.series_id,
        "planned": recipe.planned_order,
        "planned_atmosphere": recipe.planned_atmosphere,
        "planned_hold_min": recipe.planned_hold_min,
        "glazed_on": recipe.glazed_on,
        "bisque_firing": recipe.bisque_firing_id,
        "note": recipe.note,
    }


def read_numbers(text: str) -> list[int]:
    """Tile numbers with a comma, a semicolon or a new line between; raises ValidationError for the first wrong one."""
    try:
        return [numbers.read(piece) for piece in re.split(r"[,;\n]", text) if piece.strip()]
    except ValueError as wrong:
        raise ValidationError(str(wrong)) from None


class TileNumbersField(forms.CharField):
    """Numbers that are to be given: none, one or several with a comma between; the value is a list of ints."""

    widget = forms.TextInput(
        attrs={
            "data-tile-number": "free",
            "data-tile-number-address": reverse_lazy("tiles:recording:number_check"),
            "autocomplete": "off",
            "spellcheck": "false",
        }
    )

    def clean(self, value: Any) -> list[int]:
        asked = read_numbers(value or "")
        if taken := queries.taken_numbers(asked):
            raise ValidationError(taken_words(taken))
        return asked


def taken_words(taken: Sequence[int]) -> str:
    """What to do about numbers that tiles have already."""
    labels = ", ".join(numbers.write(number) for number in sorted(taken))
    return f"There is a tile {labels} already, perhaps in the bin. Incise another number, or open that tile."


class PatternForm(forms.Form):
    """How many tiles of the recipe, and what differs among them."""

    numbers = TileNumbersField(required=False, label="Number, if incised already")
    copies = forms.IntegerField(
        min_value=1,
        max_value=pattern.MOST_TILES,
        initial=1,
        label="Tiles",
        error_messages=dict.fromkeys(
            ("required", "invalid", "min_value", "max_value"),
            f"Write how many tiles, 1 to {pattern.MOST_TILES}.",
        ),
    )
    varying = forms.ChoiceField(
        choices=pattern.Varying.choices(),
        initial=pattern.Varying.NOTHING.value,
        widget=forms.RadioSelect,
        error_messages=_choose("Choose what varies, or nothing."),
    )
    bodies = RecordsField(
        ClayBody.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label="One for each body",
    )
    cones = forms.CharField(required=False, label="One for each cone", help_text="Such as 5, 6 or 8 to 10.")
    of_layer = forms.CharField(required=False, label="Layer")
    amounts = forms.CharField(
        required=False, label="One for each number of coats", help_text="Such as 1, 2, 4 or 1 to 4."
    )

    def __init__(self, *args: Any, layers: Sequence[LayerRecipe] = (), **kwargs: Any) -> None:
        """`layers` are those of the grid as far as they read, bottom to top."""
        super().__init__(*args, **kwargs)
        self.fields["bodies"].queryset = ClayBody.objects.order_by("name")  # type: ignore[attr-defined]
        self.layers = layers

    def clean(self) -> dict[str, Any]:
        typed = self.cleaned_data
        if typed.get("varying") and typed.get("copies"):
            field, read = self._readers()[typed["varying"]]
            try:
                typed["pattern"] = self._bounded(read(typed))
            except ValueError as wrong:
                self.add_error(field, str(wrong))
        return typed

    def _readers(self) -> dict[str, tuple[str, Callable[[dict[str, Any]], pattern.Pattern]]]:
        """For each thing that may vary: the field that says how, and what reads it."""
        return {
            pattern.Varying.NOTHING.value: ("copies", self._copies),
            pattern.Varying.BODY.value: ("bodies", self._bodies),
            pattern.Varying.CONE.value: ("cones", self._cones),
            pattern.Varying.COATS.value: ("amounts", self._coats),
        }

    def _copies(self, typed: dict[str, Any]) -> pattern.Pattern:
        return pattern.Pattern(typed["copies"], typed["varying"])

    def _bodies(self, typed: dict[str, Any]) -> pattern.Pattern:
        if not typed.get("bodies"):
            raise ValueError("Which bodies? Choose one or more.")
        return replace(self._copies(typed), bodies=tuple(body.pk for body in typed["bodies"]))

    def _cones(self, typed: dict[str, Any]) -> pattern.Pattern:
        return replace(self._copies(typed), cones=pattern.read_cones(typed["cones"]))

    def _coats(self, typed: dict[str, Any]) -> pattern.Pattern:
        keys = [layer.key for layer in self.layers]
        if not keys:
            raise ValueError("There is no layer in the grid yet whose coats could vary.")
        if len(keys) > 1 and typed["of_layer"] not in keys:
            raise ValueError("The coats of which layer? Choose one.")
        position = keys.index(typed["of_layer"]) if typed["of_layer"] in keys else 0
        amounts = pattern.read_amounts(typed["amounts"], self.layers[position].method)
        return replace(self._copies(typed), layer=position, amounts=amounts)

    def _bounded(self, found: pattern.Pattern) -> pattern.Pattern:
        if found.tile_count > pattern.MOST_TILES:
            raise ValueError(f"That makes {found.tile_count} tiles; at most {pattern.MOST_TILES} at once.")
        if found.tile_count > 1 and any(layer.is_measured for layer in self.layers):
            raise ValueError("What was weighed or measured belongs to one tile. Record that one by itself.")
        return found

    def recipes(self, recipe: Recipe) -> list[Recipe]:
        """The recipes of the pattern's tiles; raises ValueError where the typed numbers do not fit them."""
        spread = pattern.spread(recipe, self.cleaned_data["pattern"])
        return pattern.numbered(spread, self.cleaned_data["numbers"])


class CoatGridForm:
    """The coat grid of a page: what was typed, and what it means once it reads well."""

    def __init__(
        self, layers: Sequence[TypedLayer], zones: Sequence[str], catalogue: Catalogue, *, firings: int = 0
    ) -> None:
        """`layers` run bottom to top; `firings` is how many glaze firings the tile has been through."""
        self.layers, self.zones, self.catalogue, self.firings = list(layers), list(zones), catalogue, firings
        self.errors: Mapping[str, str] = {}

    @cached_property
    def reading(self) -> Reading:
        return read_grid(self.layers, self.zones, on_hand(self.catalogue), firings=self.firings)

    def is_valid(self) -> bool:
        """Read it; from now on the page shows what is wrong."""
        self.errors = self.reading.errors
        return not self.errors

    @property
    def rows(self) -> list[GridRow]:
        """The rows of the page, top layer first."""
        return grid_rows(self.layers, self.zones, self.catalogue, self.errors)

    @property
    def is_full(self) -> bool:
        return len(self.layers) >= MOST_LAYERS


def on_hand(catalogue: Catalogue) -> OnHand:
    return OnHand(
        {pk: glaze.name for pk, glaze in catalogue.glazes.items()},
        {pk: (lot.glaze_id, lot.lot) for pk, lot in catalogue.lots.items()},
    )


def catalogue_for(tile: Tile | None = None) -> Catalogue:
    """All that may be chosen in the grid, in two queries."""
    return Catalogue(
        {
            glaze.pk: GlazeFacts(glaze.name, glaze.swatch, coats_words(glaze.coats_low, glaze.coats_high))
            for glaze in queries.glazes_for(tile)
        },
        {
            pk: LotFacts(glaze, lot, f"{gravity:f}".rstrip("0") if gravity else "")
            for pk, glaze, lot, gravity in queries.lots_for(tile).values_list(
                "pk", "glaze_id", "lot", "specific_gravity"
            )
        },
    )


def posted_layers(post: QueryDict) -> list[TypedLayer]:
    """The grid's rows as posted, bottom to top."""
    return typed_layers(post.getlist("layer"), post.dict())  # type: ignore[arg-type]
