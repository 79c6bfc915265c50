"""Tying photos to the tiles they show, and taking them off again."""

from collections.abc import Sequence
from dataclasses import astuple

from django.db import transaction

from firings.models import User
from tiles import numbers
from tiles.colour.tasks import measure_once_filed
from tiles.models import Photo, PhotoFiling, Placement, Tile, Zone
from tiles.photos.codes import Region, TileCode
from tiles.tray import filing, queries
from tiles.vocabulary import FiledBy

REASON_LENGTH = 200


def file_what_is_in_view(photo: Photo) -> list[PhotoFiling]:
    """File a photo that has been looked at to every tile whose code is in view, or say why it waits in the tray.

    What a person said of it stands: a photo that is filed, or was taken off a tile, is left alone. Looking twice
    files once. Returns the filings made.
    """
    codes = [TileCode.from_json(kept) for kept in (photo.look or {}).get("codes", [])]
    return file_by_codes(photo, codes, by=photo.stored_by)


@transaction.atomic
def file_by_codes(photo: Photo, codes: Sequence[TileCode], *, by: User | None) -> list[PhotoFiling]:
    """File to the tiles of the codes in view, unless a person has already said what the photo shows."""
    Photo.everything.select_for_update(of=("self",)).get(pk=photo.pk)
    if PhotoFiling.history.filter(photo=photo.pk).exists():
        return []
    here = {tile.number: tile for tile in Tile.objects.filter(number__in=[code.number for code in codes])}
    found = filing.in_view(codes, here, photo.width, photo.height)
    if found.shown or not photo.tray_reason:
        leave_in_tray(photo, found.reason)
    return [
        file_photo(photo, here[shown.number], by=by, how=shown.how, region=shown.region)
        for shown in found.shown
    ]


def leave_in_tray(photo: Photo, reason: str) -> None:
    """Say on the photo why it waits in the sorting tray."""
    photo.tray_reason = reason[:REASON_LENGTH]
    photo.save(update_fields=["tray_reason"])


@transaction.atomic
def file_photo(
    photo: Photo,
    tile: Tile,
    *,
    by: User | None,
    placement: Placement | None = None,
    zone: Zone | None = None,
    how: FiledBy = FiledBy.HAND,
    region: Region | None = None,
) -> PhotoFiling:
    """Say that a photo shows a tile, after a firing where that is known; said twice it stands once.

    A filing that did not know its firing or zone yet learns them from a later one.
    """
    # Two who file the same photo at the same moment come one after the other.
    Photo.everything.select_for_update(of=("self",)).get(pk=photo.pk)
    placement = placement or queries.placement_shown(tile, photo.taken_at)
    filed = _same_filing(photo, tile, placement)
    if filed is None:
        filed = PhotoFiling(photo=photo, tile=tile, filed_how=how.value, filed_by=by)
        filed.region = [round(share, 4) for share in astuple(region)] if region else None
        if photo.tray_reason and how not in (FiledBy.CODE, FiledBy.NUMBER):
            leave_in_tray(photo, "")
    filed.placement = placement or filed.placement
    filed.zone = zone or filed.zone
    filed.save()
    measure_once_filed(photo)
    return filed


def _same_filing(photo: Photo, tile: Tile, placement: Placement | None) -> PhotoFiling | None:
    """The filing that already says so: of this placement, or of none yet; any of the tile's when none is asked for."""
    there = list(photo.filings.filter(tile=tile))
    if placement is None:
        return there[0] if there else None
    exact = [filed for filed in there if filed.placement_id == placement.pk]
    return next(iter(exact or [filed for filed in there if filed.placement_id is None]), None)


@transaction.atomic
def file_together(
    pairs: Sequence[tuple[Photo, Tile]], *, by: User, how: FiledBy = FiledBy.HAND
) -> list[PhotoFiling]:
    """File several photos at once, each to its tile; `unfile_together` takes all of it back in one step."""
    return [file_photo(photo, tile, by=by, how=how) for photo, tile in pairs]


@transaction.atomic
def unfile_together(filings: Sequence[PhotoFiling], *, by: User) -> list[int]:
    """Take several photos off their tiles. Returns what `refile_together` undoes."""
    return [unfile_photo(filed, by=by) for filed in filings]


@transaction.atomic
def refile_together(history_ids: Sequence[int], *, by: User) -> list[PhotoFiling]:
    """Undo `unfile_together`: each photo filed as it was filed."""
    return [refile_photo(history_id, by=by) for history_id in history_ids]


@transaction.atomic
def unfile_photo(filed: PhotoFiling, *, by: User) -> int:
    """Take a photo off a tile; with no tile left it goes back to the tray. Returns what `refile_photo` undoes."""
    pk, photo = filed.pk, filed.photo
    filed.delete()
    if not photo.filings.exists():
        leave_in_tray(photo, f"Taken off tile {filed.tile.label} by {by}.")
    return PhotoFiling.history.filter(id=pk, history_type="-").order_by("history_id").last().history_id


def refile_photo(history_id: int, *, by: User) -> PhotoFiling:
    """Undo `unfile_photo`: file the photo as it was filed."""
    was = PhotoFiling.history.get(history_id=history_id, history_type="-").instance
    region = Region(*was.region) if was.region else None
    how = FiledBy(was.filed_how)
    return file_photo(
        was.photo, was.tile, by=by, placement=was.placement, zone=was.zone, how=how, region=region
    )


def file_by_number(photo: Photo, typed: str, *, by: User, how: FiledBy = FiledBy.HAND) -> PhotoFiling:
    """File a photo to the tile of a typed number. Raises ValueError with words for the form."""
    return file_photo(photo, tile_of(typed), by=by, how=how)


def tile_of(typed: str) -> Tile:
    """The tile of a typed number. Raises ValueError with words for the form."""
    number = numbers.read(typed)
    tile = Tile.objects.filter(number=number).first()
    if tile is None:
        raise ValueError(f"There is no tile {numbers.write(number)} here. Compare the number with the clay.")
    return tile
