"""Tiles onto shelves and off again. In a glaze firing each gets the outcomes that will be judged."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import F, Max
from simple_history.utils import bulk_create_with_history

from firings.models import Firing, Shelf, User
from firings.vocabulary import Purpose
from tiles.conditions import services as conditions
from tiles.models import Layer, Outcome, Placement, Tile


class CannotTakeOff(Exception):
    """What the tile looked like after this firing is written down; the words are fit for a message."""


class CannotTakeBack(Exception):
    """The load was changed again since; the words are fit for a message."""


@dataclass(frozen=True, slots=True)
class Loaded:
    """What placing did. `undo` is the range of history that undoing takes back, empty for a bisque firing."""

    placed: int
    moved: int
    undo: tuple[int, int] | None


@transaction.atomic
def place_tiles(
    firing: Firing, tile_ids: Iterable[int], shelf: Shelf | None, place: str, on_cookie: bool, *, by: User
) -> Loaded:
    """Put tiles on a shelf of a firing; one that is in it already is moved there.

    In a bisque firing a tile has no place of its own: the tile keeps which bisque firing it was in.
    """
    tiles = list(Tile.objects.select_for_update(of=("self",)).filter(pk__in=set(tile_ids)).order_by("number"))
    if firing.purpose == Purpose.BISQUE.value:
        return _bisque(firing, tiles, by)
    where = {"shelf_id": shelf and shelf.pk, "place": place, "on_cookie": on_cookie}
    last = _last_history_id()
    moved = _move(firing, tiles, where, by)
    placed = _place(firing, [tile for tile in tiles if tile.pk not in moved], where, by)
    return Loaded(len(placed), len(moved), (last + 1, _last_history_id()))


def _last_history_id() -> int:
    return Placement.history.aggregate(last=Max("history_id"))["last"] or 0


def _bisque(firing: Firing, tiles: Sequence[Tile], by: User) -> Loaded:
    new = [tile for tile in tiles if tile.bisque_firing_id != firing.pk]
    for tile in new:
        _sign(tile, by)
        tile.bisque_firing = firing
        tile.save(update_fields=["bisque_firing"])
    return Loaded(len(new), 0, None)


def _move(firing: Firing, tiles: Sequence[Tile], where: dict[str, Any], by: User) -> set[int]:
    """Where these tiles were in the firing already they are there no longer, but here; returns their keys."""
    standing = list(Placement.objects.filter(firing=firing, tile__in=tiles))
    for placement in standing:
        _put(placement, where, by)
    conditions.refresh_tiles([placement.tile_id for placement in standing])
    return {placement.tile_id for placement in standing}


def _put(placement: Placement, where: dict[str, Any], by: User) -> None:
    for name, value in where.items():
        setattr(placement, name, value)
    _sign(placement, by)
    placement.save()


def _place(firing: Firing, tiles: Sequence[Tile], where: dict[str, Any], by: User) -> list[Placement]:
    been = dict(
        Placement.objects.filter(tile__in=tiles).values_list("tile").annotate(last=Max("sequence")).order_by()
    )
    rows = [Placement(tile=tile, firing=firing, sequence=been.get(tile.pk, 0) + 1, **where) for tile in tiles]
    placed = bulk_create_with_history(rows, Placement, default_user=by)
    if firing.purpose == Purpose.GLAZE.value:
        conditions.make_outcomes([placement.pk for placement in placed], by=by)
    return placed


@transaction.atomic
def take_off(placement: Placement, *, by: User) -> tuple[int, int]:
    """Take a tile out of a firing; returns the range of history that undoing takes back.

    Raises CannotTakeOff where more is built on it: a judgement, a later firing, a glazing for a later firing.
    """
    if why := _why_it_stays(placement):
        raise CannotTakeOff(why)
    last = _last_history_id()
    _sign(placement, by)
    placement.delete()
    return last + 1, _last_history_id()


def _why_it_stays(placement: Placement) -> str:
    tile, firing, sequence = placement.tile, placement.firing, placement.sequence
    if Outcome.everything.filter(placement=placement, judged_at__isnull=False).exists():
        return f"Tile {tile} was judged after {firing}, so it stays in it. Undo the judgement first if it was not."
    if Placement.objects.filter(tile=tile, sequence__gt=sequence).exists():
        return f"Tile {tile} is in a later firing than {firing}. Take it off there first."
    if Layer.objects.filter(tile=tile, after_firings__gte=sequence).exists():
        return f"Tile {tile} was glazed again after {firing}. Take those layers off its coat grid first."
    return ""


@transaction.atomic
def take_out_of_bisque(tile: Tile, *, by: User) -> None:
    """The tile was not in that bisque firing after all."""
    _sign(tile, by)
    tile.bisque_firing = None
    tile.save(update_fields=["bisque_firing"])


@transaction.atomic
def take_back(firing: Firing, first: int, last: int, *, by: User) -> int:
    """Undo what happened to the firing's load in this range of history; returns how many tiles it was about.

    Raises CannotTakeBack where one of them was moved again since, CannotTakeOff where one was judged.
    """
    changes = Placement.history.filter(firing=firing)
    ids = set(changes.filter(history_id__range=(first, last)).values_list("id", flat=True))
    if changes.filter(id__in=ids, history_id__gt=last).exists():
        raise CannotTakeBack(f"The load of {firing} was changed again since; nothing was undone.")
    for placement_id in ids:
        before = changes.filter(id=placement_id, history_id__lt=first).order_by("history_id").last()
        _restore(firing, placement_id, before, by)
    return len(ids)


def _restore(firing: Firing, placement_id: int, before: Any, by: User) -> None:
    standing = Placement.objects.filter(pk=placement_id).select_related("tile", "firing").first()
    if before is None:
        if standing:
            take_off(standing, by=by)
        return
    shelf = Shelf.objects.filter(pk=before.shelf_id, kiln=firing.kiln_id).first()
    place_tiles(firing, [before.tile_id], shelf, before.place, before.on_cookie, by=by)


@transaction.atomic
def leave_foreign_shelves(firing_ids: Iterable[int]) -> None:
    """After a firing moved to another kiln its tiles stand on no shelf, as those shelves are not there."""
    strayed = Placement.objects.filter(firing__in=list(firing_ids), shelf__isnull=False).exclude(
        shelf__kiln=F("firing__kiln")
    )
    for placement in strayed:
        _put(placement, {"shelf_id": None}, None)


def _sign(record: Any, by: User) -> None:
    """Let history say who, where no request tells it."""
    if by is not None:
        record._history_user = by
