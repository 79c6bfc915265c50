"""Tiles made from recipes, changed, put in the bin."""

from collections.abc import Iterable, Sequence
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import F
from simple_history.utils import bulk_create_with_history

from firings.models import User, signed
from tiles.conditions import services as conditions
from tiles.models import Coverage, FormZone, Layer, Outcome, Tile, Zone
from tiles.recording.grid import Cover, LayerRecipe, Recipe
from tiles.recording.queries import free_numbers, taken_numbers

# Two people who press the button at once are told apart by the database; the second tries again.
TRIES = 5
# Positions far above any layer's: where layers wait while their order changes.
ASIDE = 1000


class NumbersTaken(Exception):
    """Numbers that were typed for new tiles, but that tiles have already."""

    def __init__(self, taken: Sequence[int]) -> None:
        super().__init__(f"numbers taken: {taken}")
        self.taken = list(taken)


class FormFixed(Exception):
    """A tile that has been in a firing keeps its form: its zones have results."""


def glaze_tiles(recipes: Sequence[Recipe], *, by: User) -> list[Tile]:
    """Make tiles from recipes, each with its form's zones, in one transaction.

    Raises
    ------
    NumbersTaken : a recipe asks for a number that a tile has, perhaps in the bin
    """
    for left in reversed(range(TRIES)):
        try:
            return _make(recipes, by)
        except IntegrityError:
            if not left:
                raise
    return []


@transaction.atomic
def _make(recipes: Sequence[Recipe], by: User) -> list[Tile]:
    _wait_for_turn()
    tiles = _make_tiles(recipes, by)
    zones = _make_zones(tiles)
    layers = _make_layers(tiles, recipes, by)
    _make_coverages(layers, zones, by)
    return tiles


def _wait_for_turn() -> None:
    """Hold the first tile's row, so that whoever makes tiles at the same time reads the next number after.

    All hold the same row, as the highest number's is another one for whoever comes later; others may refer to it.
    """
    Tile.everything.select_for_update(no_key=True).order_by("number").values_list("pk").first()


def _make_tiles(recipes: Sequence[Recipe], by: User) -> list[Tile]:
    asked = [recipe.number for recipe in recipes if recipe.number]
    if taken := taken_numbers(asked):
        raise NumbersTaken(taken)
    free = iter(free_numbers(len(recipes) - len(asked), asked))
    tiles = [
        Tile(number=recipe.number or next(free), created_by=by, **_tile_facts(recipe, by))
        for recipe in recipes
    ]
    return bulk_create_with_history(tiles, Tile, default_user=by)


def _tile_facts(recipe: Recipe, by: User) -> dict[str, Any]:
    return {
        "form_id": recipe.form_id,
        "body_id": recipe.body_id,
        "body_lot": recipe.body_lot,
        "series_id": recipe.series_id,
        "bisque_firing_id": recipe.bisque_firing_id,
        "planned_order": recipe.planned_order,
        "planned_atmosphere": recipe.planned_atmosphere,
        "planned_hold_min": recipe.planned_hold_min,
        "glazed_on": recipe.glazed_on,
        "glazed_by": by if recipe.glazed_on else None,
        "note": recipe.note,
    }


def _make_zones(tiles: Sequence[Tile]) -> dict[tuple[int, str], int]:
    """The tiles' zones as their forms have them now; their keys by tile and name."""
    patterns: dict[int, list[FormZone]] = {}
    for form_zone in FormZone.objects.filter(form__in={tile.form_id for tile in tiles}).order_by("position"):
        patterns.setdefault(form_zone.form_id, []).append(form_zone)
    zones = [_zone(tile, form_zone) for tile in tiles for form_zone in patterns.get(tile.form_id, [])]
    return {(zone.tile_id, zone.name): zone.pk for zone in Zone.objects.bulk_create(zones, batch_size=500)}


def _zone(tile: Tile, form_zone: FormZone) -> Zone:
    return Zone(
        tile=tile,
        form_zone=form_zone,
        position=form_zone.position,
        name=form_zone.name,
        kind=form_zone.kind,
        face=form_zone.face,
        textured=form_zone.textured,
        area_cm2=form_zone.area_cm2,
    )


def _make_layers(
    tiles: Sequence[Tile], recipes: Sequence[Recipe], by: User
) -> list[tuple[Layer, LayerRecipe]]:
    pairs = [
        (Layer(tile=tile, position=position, **_layer_facts(layer)), layer)
        for tile, recipe in zip(tiles, recipes, strict=True)
        for position, layer in enumerate(recipe.layers, start=1)
    ]
    made = bulk_create_with_history([layer for layer, _ in pairs], Layer, batch_size=500, default_user=by)
    return list(zip(made, (recipe for _, recipe in pairs), strict=True))


def _layer_facts(layer: LayerRecipe) -> dict[str, Any]:
    return {
        "glaze_id": layer.glaze_id,
        "batch_id": layer.batch_id,
        "method": layer.method,
        "tool": layer.tool,
        "specific_gravity": layer.specific_gravity,
        "after_firings": layer.after_firings,
    }


def _make_coverages(
    layers: Iterable[tuple[Layer, LayerRecipe]], zones: dict[tuple[int, str], int], by: User
) -> None:
    coverages = [
        Coverage(layer=layer, zone_id=zones[layer.tile_id, name], **_cover_facts(cover))
        for layer, recipe in layers
        for name, cover in recipe.covers.items()
    ]
    bulk_create_with_history(coverages, Coverage, batch_size=500, default_user=by)


def _cover_facts(cover: Cover) -> dict[str, Any]:
    return {
        "coats": cover.amount.coats,
        "dip_s": cover.amount.dip_s,
        "wet_mass_g": cover.wet_mass_g,
        "thickness_mm": cover.thickness_mm,
    }


@transaction.atomic
def change_tile(tile_pk: int, stamp: int, recipe: Recipe, *, by: User) -> Tile:
    """Make a tile's record say what the recipe says; results keep true copies of their conditions.

    Raises
    ------
    firings.models.StaleEdit : somebody changed the tile since `stamp` was read
    FormFixed : another form for a tile that has been in a firing
    """
    tile = Tile.objects.claim(tile_pk, stamp)
    is_new_form = recipe.form_id != tile.form_id
    if is_new_form and tile.placements.exists():
        raise FormFixed
    facts = _tile_facts(recipe, by)
    if tile.glazed_on:
        facts["glazed_by"] = tile.glazed_by if recipe.glazed_on else None
    _save_as(tile, facts, by)
    if is_new_form:
        tile.zones.all().delete()
        _make_zones([tile])
    _lay(tile, recipe.layers, by)
    settle_results(tile, by=by)
    return tile


def _save_as(record: Any, facts: dict[str, Any], by: User) -> None:
    for name, value in facts.items():
        setattr(record, name, value)
    signed(record, by).save()


def _says(record: Any, facts: dict[str, Any]) -> bool:
    return all(getattr(record, name) == value for name, value in facts.items())


def _lay(tile: Tile, recipes: Sequence[LayerRecipe], by: User) -> None:
    """Bring the tile's layers to what the recipes say; what is the same already is left alone."""
    standing = {str(layer.pk): layer for layer in tile.layers.all()}
    wanted = {recipe.key for recipe in recipes}
    for key in standing.keys() - wanted:
        signed(standing.pop(key), by).delete()
    moving = [
        standing[recipe.key].pk
        for position, recipe in enumerate(recipes, start=1)
        if recipe.key in standing and standing[recipe.key].position != position
    ]
    Layer.objects.filter(pk__in=moving).update(position=F("position") + ASIDE)
    zone_ids = {zone.name: zone.pk for zone in tile.zones.all()}
    for position, recipe in enumerate(recipes, start=1):
        layer = standing.get(recipe.key) or Layer(tile=tile)
        facts = {"position": position, **_layer_facts(recipe)}
        if layer.pk is None or not _says(layer, facts):
            _save_as(layer, facts, by)
        _cover(layer, recipe, zone_ids, by)


def _cover(layer: Layer, recipe: LayerRecipe, zone_ids: dict[str, int], by: User) -> None:
    standing = {coverage.zone_id: coverage for coverage in layer.coverages.all()}
    wanted = {zone_ids[name]: _cover_facts(cover) for name, cover in recipe.covers.items()}
    for zone_id in standing.keys() - wanted.keys():
        signed(standing[zone_id], by).delete()
    for zone_id, facts in wanted.items():
        coverage = standing.get(zone_id) or Coverage(layer=layer, zone_id=zone_id)
        if coverage.pk is None or not _says(coverage, facts):
            _save_as(coverage, facts, by)


def settle_results(tile: Tile, *, by: User) -> None:
    """Results follow the layers: true copies, a result to judge for a zone newly glazed, none for one newly bare."""
    conditions.refresh_tiles([tile.pk])
    conditions.make_outcomes(tile.placements.values_list("pk", flat=True), by=by)
    Outcome.everything.filter(tile=tile, layer_count=0, judged_at__isnull=True).delete()


@transaction.atomic
def bin_tiles(tiles: Iterable[Tile], *, by: User) -> None:
    """Put tiles in the bin."""
    for tile in tiles:
        signed(tile, by).put_in_bin(by=by)


@transaction.atomic
def unbin_tiles(tiles: Iterable[Tile], *, by: User) -> None:
    """Take tiles out of the bin."""
    for tile in tiles:
        signed(tile, by).take_out_of_bin()
