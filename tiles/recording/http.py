"""The glazing page between browser and log: what was posted, what stands on the page, what comes back."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import chain
from secrets import token_urlsafe
from typing import Any

from django.forms import Form
from django.urls import reverse

from firings.cones import series
from firings.forms import Difference
from firings.http import StudioRequest
from firings.keys import key_of
from tiles import numbers
from tiles.models import ClayBody, Tile, TileForm
from tiles.recording import habits, queries
from tiles.recording.forms import (
    CoatGridForm,
    PatternForm,
    RecipeForm,
    catalogue_for,
    facts_of,
    posted_layers,
)
from tiles.recording.grid import (
    Recipe,
    TypedLayer,
    edited,
    for_another_tile,
    new_key,
    typed_from,
    with_change,
)
from tiles.recording.layout import Catalogue, stacks_typed
from tiles.recording.pattern import MOST_TILES, Varying
from tiles.recording.section import Clay, Faces, LaidLayer, Outline, Section, draw_faces, draw_section
from tiles.vocabulary import Method

# What is drawn while no form or no body is chosen.
NO_FORM = Outline("flat", 60, 90, ())
NO_CLAY = Clay("no body chosen", "#d8d2c4", False)
HABITS = "glazing"
SENT = "glazing_sent"


@dataclass
class Sheet:
    """The whole glazing page: a tile's facts, its coat grid, and, for new tiles, the pattern."""

    recipe: RecipeForm
    grid: CoatGridForm
    outline: Outline
    clay: Clay
    pattern: PatternForm | None = None
    tile: Tile | None = None
    stamp: int = 0
    is_measuring: bool = False

    def is_valid(self) -> bool:
        """Read every part, so that all that is wrong shows at once."""
        parts = [
            self.recipe.is_valid(),
            self.grid.is_valid(),
            self.pattern is None or self.pattern.is_valid(),
        ]
        return all(parts)

    def recipes(self) -> list[Recipe]:
        """The recipes of all tiles of a valid page; none where the typed numbers do not fit them."""
        recipe = self.recipe.recipe(self.grid.reading.layers)
        if self.pattern is None:
            return [recipe]
        try:
            return self.pattern.recipes(recipe)
        except ValueError as wrong:
            self.refuse_numbers(str(wrong))
            return []

    @property
    def form_id(self) -> int:
        """The form whose zones are the grid's columns."""
        return key_of(str(self.recipe["form"].value()))

    @property
    def zone_count(self) -> int:
        return len(self.grid.zones)

    @property
    def is_measured(self) -> bool:
        """Whether the boxes for mass and thickness are in view: asked for, or something stands in them."""
        cells = [cell for layer in self.grid.layers for cell in layer.cells.values()]
        return self.is_measuring or any(cell.mass.strip() or cell.thickness.strip() for cell in cells)

    @property
    def has_more(self) -> bool:
        """Whether the folded part of the page holds something to see."""
        return any(
            self.recipe[name].value() or self.recipe[name].errors
            for name in ("planned_atmosphere", "planned_hold_min", "bisque_firing", "note")
        )

    def at_rest(self) -> "Sheet":
        """The same page half filled, with nothing called wrong yet."""
        recipe = RecipeForm(initial=_typed(self.recipe), tile=self.tile)
        recipe.fields["form"].disabled = self.recipe.fields["form"].disabled
        pattern = PatternForm(initial=_typed(self.pattern)) if self.pattern else None
        return replace(self, recipe=recipe, pattern=pattern)

    def refuse_numbers(self, words: str) -> None:
        """The typed numbers cannot be given."""
        if self.pattern:
            self.pattern.add_error("numbers", words)

    @property
    def changed(self) -> Tile:
        """The tile that this page changes."""
        if self.tile is None:
            raise ValueError("a page for new tiles changes none")
        return self.tile

    def differences(self, current: Tile) -> Iterator[Difference]:
        """Where what was typed differs from what stands there now, zone by zone in the layers."""
        standing = queries.for_drawing(Tile.objects.filter(pk=current.pk)).get()
        yield from self.recipe.differences(standing)
        zones = queries.outline_of_tile(standing).zones
        theirs = draw_section(zones, self.clay, queries.stacks_of(standing)).columns
        for typed, stands in zip(self.section.columns, theirs, strict=False):
            if typed.words != stands.words:
                yield Difference(typed.name, typed.words, stands.words)

    @property
    def faces(self) -> Faces:
        return draw_faces(self.outline, self.clay, self._stacks, self.tile.label if self.tile else "")

    @property
    def section(self) -> Section:
        return draw_section(self.outline.zones, self.clay, self._stacks)

    @property
    def _stacks(self) -> Mapping[str, Sequence[LaidLayer]]:
        return stacks_typed(self.grid.layers, self.grid.zones, self.grid.catalogue)


def _typed(form: Form) -> dict[str, Any]:
    """What stands in a form's boxes."""
    return {name: form[name].value() for name in form.fields}


def _zone_names(outline: Outline) -> list[str]:
    return [zone.name for zone in outline.zones]


def _form_outline(chosen: Any) -> Outline:
    """The outline of the form with that key, else of the first there is."""
    forms = queries.forms_for().prefetch_related("zones")
    form = forms.filter(pk=key_of(str(chosen))).first() or forms.first()
    return queries.outline_of(form) if form else NO_FORM


def _clay(chosen: Any) -> Clay:
    body = ClayBody.everything.filter(pk=key_of(str(chosen))).first()
    return queries.clay_of(body) if body else NO_CLAY


def habits_of(request: StudioRequest) -> Mapping[str, Any]:
    return request.session.get(HABITS, {})


def remember(request: StudioRequest, recipe: Recipe) -> None:
    """Keep what was used for the next form."""
    request.session[HABITS] = habits.after(habits_of(request), recipe)


def remember_sent(request: StudioRequest, tiles: Sequence[Tile]) -> None:
    """Keep that this page was sent, and which tiles came of it."""
    sent = request.session.get(SENT, {})
    made = [tile.number for tile in tiles]
    request.session[SENT] = habits.pages_after(sent, request.POST.get("page", ""), made)


def sent_before(request: StudioRequest) -> list[int]:
    """The numbers of the tiles that this very page made when it was sent before."""
    return request.session.get(SENT, {}).get(request.POST.get("page", "-"), [])


def _first_facts(request: StudioRequest) -> dict[str, Any]:
    """A new tile's facts: what the address asks for, else what was used last, else the only one there is."""
    last = habits_of(request)
    facts: dict[str, Any] = {name: last.get(name) for name in ("form", "body", "body_lot", "series")}
    facts |= {name: request.GET[name] for name in ("form", "body", "series") if request.GET.get(name)}
    first_form = TileForm.objects.filter(pk=key_of(str(facts["form"]))).exists()
    return (
        facts if first_form else {**facts, "form": queries.forms_for().values_list("pk", flat=True).first()}
    )


def fresh_sheet(request: StudioRequest, today: Any) -> Sheet:
    """The page for new tiles with what the recorder used last."""
    facts = _first_facts(request) | {"glazed_on": today}
    return _sheet(facts, [habits.blank_layer(habits_of(request), "n1")], catalogue_for())


def again_sheet(request: StudioRequest, tile: Tile, today: Any) -> Sheet:
    """The page for new tiles, filled from a tile, with the one change that the address may ask for."""
    recipe = queries.recipe_of(tile)
    layers = for_another_tile(typed_from(recipe.layers))
    facts = facts_of(recipe) | {"glazed_on": today, "note": ""} | _changed_facts(request)
    return _sheet(facts, _changed_layers(request, layers), catalogue_for())


def _changed_facts(request: StudioRequest) -> dict[str, Any]:
    """Another body or cone, where the address asks for one that can be read."""
    facts: dict[str, Any] = {}
    if body := key_of(request.GET.get("body", "")):
        facts |= {"body": body, "body_lot": ""}
    with suppress(ValueError):
        facts["planned"] = series.order_of(request.GET.get("cone", ""))
    return facts


def _changed_layers(request: StudioRequest, layers: list[TypedLayer]) -> list[TypedLayer]:
    """Other coats or another lot of one layer on one zone, where the address asks for them."""
    zone, place = request.GET.get("zone", ""), key_of(request.GET.get("layer", ""))
    if not zone or not place:
        return layers
    return with_change(
        layers, zone, place, coats=request.GET.get("coats", "")[:3], batch=request.GET.get("lot", "")[:9]
    )


def _sheet(facts: dict[str, Any], layers: Sequence[TypedLayer], catalogue: Catalogue) -> Sheet:
    outline = _form_outline(facts["form"])
    return Sheet(
        RecipeForm(initial=facts),
        CoatGridForm(layers, _zone_names(outline), catalogue),
        outline,
        _clay(facts["body"]),
        PatternForm(layers=()),
    )


def posted_sheet(request: StudioRequest) -> Sheet:
    """The page for new tiles as it was posted, one button press further."""
    outline = _form_outline(request.POST.get("form"))
    grid = CoatGridForm(_posted_layers(request), _zone_names(outline), catalogue_for())
    return Sheet(
        RecipeForm(request.POST),
        grid,
        outline,
        _clay(request.POST.get("body")),
        PatternForm(request.POST, layers=grid.reading.layers),
        is_measuring="measured" in request.POST,
    )


def _posted_layers(request: StudioRequest) -> list[TypedLayer]:
    layers = posted_layers(request.POST)
    blank = habits.blank_layer(habits_of(request), new_key(layers))
    return edited(layers, request.POST.get("do", ""), blank)


def edit_sheet(request: StudioRequest, tile: Tile) -> Sheet:
    """The page that changes a tile; `tile` comes from `for_drawing()`. A tile that was placed keeps its form."""
    recipe = queries.recipe_of(tile)
    firings = queries.glaze_firings_of(tile)
    is_posted = request.method == "POST"
    form = RecipeForm(request.POST if is_posted else None, initial=facts_of(recipe), tile=tile)
    form.fields["form"].disabled = firings > 0
    layers = _posted_layers(request) if is_posted else typed_from(recipe.layers)
    outline = _outline_for(request, tile, firings)
    return Sheet(
        form,
        CoatGridForm(layers, _zone_names(outline), catalogue_for(tile), firings=firings),
        outline,
        _clay(request.POST.get("body", tile.body_id)),
        tile=tile,
        stamp=_stamp(request, tile),
        is_measuring="measured" in request.POST,
    )


def _stamp(request: StudioRequest, tile: Tile) -> int:
    typed = request.POST.get("stamp", "")
    return key_of(typed) if typed else tile.stamp


def _outline_for(request: StudioRequest, tile: Tile, firings: int) -> Outline:
    chosen = request.POST.get("form", str(tile.form_id))
    return queries.outline_of_tile(tile) if firings or chosen == str(tile.form_id) else _form_outline(chosen)


def page_of(sheet: Sheet, request: StudioRequest, *, is_returned: bool = False) -> dict[str, Any]:
    """What the templates of the glazing page need; a page is returned when something on it needs another look."""
    habit = habits_of(request)
    blank = CoatGridForm([habits.blank_layer(habit, "new")], sheet.grid.zones, sheet.grid.catalogue)
    return {
        "sheet": sheet if is_returned else sheet.at_rest(),
        "is_returned": is_returned,
        "page_mark": request.POST.get("page") or token_urlsafe(9),
        "sent": ",".join(request.session.get(SENT, {})),
        "back": sheet.tile.get_absolute_url() if sheet.tile else reverse("tiles:recording:list"),
        "methods": Method.choices(),
        "firings": range(sheet.grid.firings + 1) if sheet.grid.firings else (),
        "of_layer": request.POST.get("of_layer", ""),
        "blank": blank.rows[0],
        "tools": queries.tools_used(),
        "drawing": drawing_facts(sheet, habit),
        **preview_of(sheet),
    }


def drawing_facts(sheet: Sheet, last: Mapping[str, Any]) -> dict[str, Any]:
    """What the browser needs to draw and to fill in as one types."""
    lots: dict[int, list[list[str]]] = {}
    for pk, lot in sheet.grid.catalogue.lots.items():
        lots.setdefault(lot.glaze_id, []).append([str(pk), lot.lot, lot.gravity])
    return {
        "glazes": {
            pk: {"name": glaze.name, "swatch": glaze.swatch, "coats": glaze.coats}
            for pk, glaze in sheet.grid.catalogue.glazes.items()
        },
        "lots": lots,
        "bodies": {
            body.pk: {"name": body.name, "swatch": body.swatch, "speckled": body.speckled}
            for body in sheet.recipe.fields["body"].queryset  # type: ignore[attr-defined]
        },
        "last_lots": last.get("lots", {}),
    }


@dataclass(frozen=True, slots=True)
class ToBeMade:
    """One line of the preview: a tile's number and what sets it apart."""

    label: str
    words: str


def preview_of(sheet: Sheet) -> dict[str, Any]:
    """The tiles that would be made, with the numbers that are free now; or what the pattern still needs."""
    recipes, needs = _recipes_so_far(sheet)
    asked = [recipe.number for recipe in recipes if recipe.number]
    free = queries.free_numbers(max(1, len(recipes) - len(asked)), asked)
    given = iter(free)
    lines = [
        ToBeMade(numbers.write(recipe.number or next(given)), words)
        for recipe, words in zip(recipes, _apart_words(sheet, recipes), strict=True)
    ]
    return {"lines": lines, "needs": needs, "next_label": numbers.write(free[0])}


def _recipes_so_far(sheet: Sheet) -> tuple[list[Recipe], str]:
    """The recipes as far as the page reads, and what is still needed for them in words."""
    if sheet.pattern is None or not sheet.recipe.is_bound:
        return [], ""
    if not sheet.recipe.is_valid():
        return [], "Choose a form and a clay body to see the tiles."
    if not sheet.pattern.is_valid():
        return [], " ".join(map(str, chain(*sheet.pattern.errors.values())))
    recipes = sheet.recipes()
    return recipes, "" if recipes else " ".join(map(str, sheet.pattern["numbers"].errors))


def _apart_words(sheet: Sheet, recipes: Sequence[Recipe]) -> list[str]:
    """What sets each tile apart from the others of its pattern."""
    if not recipes or not sheet.pattern:
        return []
    found = sheet.pattern.cleaned_data["pattern"]
    match found.varying:
        case Varying.BODY:
            names = dict(ClayBody.objects.filter(pk__in=found.bodies).values_list("pk", "name"))
            return [names[recipe.body_id] for recipe in recipes]
        case Varying.CONE:
            return [f"cone {series.label_of(recipe.planned_order or 1)}" for recipe in recipes]
        case Varying.COATS:
            glaze = sheet.grid.catalogue.glazes[recipes[0].layers[found.layer].glaze_id].name
            return [
                f"{glaze} {next(iter(recipe.layers[found.layer].covers.values())).amount.words}"
                for recipe in recipes
            ]
        case _:
            return [""] * len(recipes)


def asked_numbers(request: StudioRequest) -> list[int]:
    """The tile numbers in an address, those that read as numbers; ?tiles=1042-9,1043-2."""
    found = []
    for piece in request.GET.get("tiles", "").split(",")[:MOST_TILES]:
        try:
            found.append(numbers.read(piece))
        except ValueError:
            continue
    return found
