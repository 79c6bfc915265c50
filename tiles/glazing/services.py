"""Coats put on one by one, taken back, left at fewer, or all of a sheet written down at once."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from firings.models import Kept, StaleEdit, User, signed
from tiles.glazing.queries import coats_of, job_of, with_coats
from tiles.models import CoatLaid, Coverage, Layer, Tile
from tiles.recording.grid import MOST_COATS, Amount, Cover, LayerRecipe
from tiles.recording.queries import recipe_of
from tiles.recording.services import change_tile

IN_A_FIRING = "The tile is in a firing already. Its layers are changed on its own page."


class NotTheNext(Exception):
    """The tile is further than the tapped page, or its layers were changed; the words are fit for a message."""


@dataclass(frozen=True, slots=True)
class Details:
    """What a coat was put on with."""

    batch_id: int | None = None
    specific_gravity: Decimal | None = None
    tool: str = ""
    note: str = ""


@transaction.atomic
def lay_coat(
    layer_pk: int, number: int, details: Details, *, by: User, ago: timedelta = timedelta()
) -> CoatLaid:
    """Note that a coat is on; the last one makes the tile glazed. A coat that is on already stays as it was noted.

    `ago` is how long a tap waited for a network: the coat has been drying since. It is never laid before the one
    that was noted last.

    Raises NotTheNext where another coat comes first.
    """
    tile, layer = _held(layer_pk)
    if standing := CoatLaid.objects.filter(layer=layer, number=number).first():
        return standing
    left = job_of(tile).left
    if not left or left[0].key != (layer.pk, number):
        raise NotTheNext(
            "This tile has come further meanwhile, or its layers were changed. Nothing was noted."
        )
    if details.note:
        tile.note = "\n".join(filter(None, (tile.note, details.note)))
    _settle(tile, by, is_glazed=len(left) == 1)
    _write_details(layer, details, by)
    laid = CoatLaid(layer=layer, number=number, laid_at=_laid_at(tile, ago), laid_by=by)
    signed(laid, by).save()
    return laid


def _laid_at(tile: Tile, ago: timedelta) -> datetime:
    """When a coat went on, after all that lie there: the newest by its time is the one that is taken back."""
    tapped_at = timezone.now() - ago
    newest = CoatLaid.objects.filter(layer__tile=tile).order_by("-laid_at").first()
    return max(tapped_at, newest.laid_at) if newest else tapped_at


@transaction.atomic
def lay_one_more(layer_pk: int, number: int, *, by: User) -> Tile:
    """Note that a coat more than planned is on, where the layer was thickest; one that is on already stays as noted.

    Raises NotTheNext where the layer has coats left, another lies over it, or the tile is in a firing.
    """
    tile, layer = _held(layer_pk)
    on = CoatLaid.objects.filter(layer__tile=tile).order_by("-laid_at", "-pk").first()
    if CoatLaid.objects.filter(layer=layer, number=number).exists():
        return tile
    if on is None or on.layer_id != layer.pk or number != on.number + 1 or number > MOST_COATS:
        raise NotTheNext("This tile has come further meanwhile. Nothing was noted.")
    if any(coat.layer == layer.pk and coat.number > on.number for coat in coats_of(tile)):
        raise NotTheNext("This layer has coats left as it was planned. Note those first.")
    if tile.placements.exists():
        raise NotTheNext(IN_A_FIRING)
    signed(tile, by).save()
    for cover in Coverage.objects.filter(layer=layer, coats=on.number):
        cover.coats = number
        signed(cover, by).save()
    signed(CoatLaid(layer=layer, number=number, laid_at=timezone.now(), laid_by=by), by).save()
    return tile


@transaction.atomic
def take_back(coat_pk: int, *, by: User) -> Tile:
    """Take the coat put on last off the record again; a tile it had made glazed waits again.

    Raises NotTheNext where it is gone already or another was put on since.
    """
    coat = CoatLaid.objects.select_related("layer").filter(pk=coat_pk).first()
    if coat is None:
        raise NotTheNext("That coat is taken back already.")
    tile, _ = _held(coat.layer_id)
    newest = CoatLaid.objects.filter(layer__tile=tile).order_by("-laid_at", "-pk").first()
    if newest is None or newest.pk != coat_pk:
        raise NotTheNext("Another coat was put on since. Take that one back first.")
    if tile.placements.exists():
        raise NotTheNext(IN_A_FIRING)
    tile.glazed_on = tile.glazed_by = None
    signed(tile, by).save()
    signed(newest, by).delete()
    return tile


@transaction.atomic
def leave_at(layer_pk: int, coats: int, *, by: User) -> Tile:
    """Note that no more coats of a layer go on than are on: its zones keep at most so many.

    Raises NotTheNext where another number of coats is on.
    """
    tile, layer = _held(layer_pk)
    if coats < 1 or CoatLaid.objects.filter(layer=layer).count() != coats:
        raise NotTheNext("Another coat was put on meanwhile. Nothing was noted.")
    if tile.placements.exists():
        raise NotTheNext(IN_A_FIRING)
    _settle(tile, by, is_glazed=all(coat.layer == layer.pk for coat in job_of(tile).left))
    for cover in Coverage.objects.filter(layer=layer, coats__gt=coats):
        cover.coats = coats
        signed(cover, by).save()
    return tile


def _held(layer_pk: int) -> tuple[Tile, Layer]:
    """The layer and its tile, which nobody else changes until this is written."""
    tile_pk = (
        Layer.objects.filter(pk=layer_pk, tile__binned_at__isnull=True).values_list("tile", flat=True).first()
    )
    if tile_pk is None:
        raise NotTheNext("The layers of this tile were changed meanwhile. Nothing was noted.")
    Tile.objects.select_for_update(of=("self",)).get(pk=tile_pk)
    tile = with_coats(Tile.objects.filter(pk=tile_pk)).get()
    layer = next((one for one in tile.layers.all() if one.pk == layer_pk), None)
    if layer is None:
        raise NotTheNext("The layers of this tile were changed meanwhile. Nothing was noted.")
    return tile, layer


def _write_details(layer: Layer, details: Details, by: User) -> None:
    facts = {
        "batch_id": details.batch_id,
        "specific_gravity": details.specific_gravity,
        "tool": details.tool,
    }
    if any(getattr(layer, name) != value for name, value in facts.items()):
        for name, value in facts.items():
            setattr(layer, name, value)
        signed(layer, by).save()


def _settle(tile: Tile, by: User, *, is_glazed: bool) -> None:
    """Save the tile, glazed once no coat is left, before what lies on it: a version of it ends at its next save.

    Every coat moves its stamp on, so that an open form does not undo it.
    """
    if is_glazed and tile.glazed_on is None:
        tile.glazed_on, tile.glazed_by = timezone.localdate(), by
    signed(tile, by).save()


@dataclass(frozen=True, slots=True)
class Written:
    """A tile as the sheet says it was glazed: for each layer by its key the amounts on its zones, by zone name."""

    tile: Tile
    stamp: int
    amounts: Mapping[str, Mapping[str, Amount | None]]
    note: str = ""


class TilesChanged(Exception):
    """Tiles that somebody changed after the sheet was opened."""

    def __init__(self, tiles: Sequence[Kept]) -> None:
        super().__init__(f"changed meanwhile: {tiles}")
        self.tiles = list(tiles)


@transaction.atomic
def write_down(
    rows: Iterable[Written], glazed_on: date, details: Mapping[int, Details], *, by: User
) -> list[Tile]:
    """Note all tiles of a sheet as glazed on a day; `details` are those of each glaze by its key. All or none.

    Raises TilesChanged with every tile that was changed since its stamp was read.
    """
    done, changed = [], []
    for row in rows:
        try:
            done.append(_write_row(row, glazed_on, details, by))
        except StaleEdit as stale:
            changed.append(stale.current)
    if changed:
        raise TilesChanged(changed)
    return done


def _write_row(row: Written, glazed_on: date, details: Mapping[int, Details], by: User) -> Tile:
    recipe = recipe_of(row.tile)
    layers = []
    for layer in recipe.layers:
        covers = _as_written(layer.covers, row.amounts.get(layer.key, {}))
        if covers:
            layers.append(_with_details(replace(layer, covers=covers), details.get(layer.glaze_id)))
    note = "\n".join(filter(None, (recipe.note, row.note)))
    made = replace(recipe, layers=tuple(layers), glazed_on=glazed_on, note=note)
    return change_tile(row.tile.pk, row.stamp, made, by=by)


def _as_written(planned: Mapping[str, Cover], amounts: Mapping[str, Amount | None]) -> dict[str, Cover]:
    """The cells of a layer as they were really filled; a zone that was left out has none."""
    made = {zone: (cover, amounts.get(zone, cover.amount)) for zone, cover in planned.items()}
    return {zone: replace(cover, amount=amount) for zone, (cover, amount) in made.items() if amount}


def _with_details(layer: LayerRecipe, details: Details | None) -> LayerRecipe:
    if details is None:
        return layer
    return replace(
        layer,
        batch_id=details.batch_id or layer.batch_id,
        specific_gravity=details.specific_gravity or layer.specific_gravity,
        tool=details.tool or layer.tool,
    )
