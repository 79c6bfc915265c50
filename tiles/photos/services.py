"""What is done with photographs. The file is on the disk before the row is in the table, always in that order."""

import threading
from datetime import datetime
from pathlib import Path
from typing import BinaryIO

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from firings.models import User
from tiles.models import Photo, Placement, Tile, Zone
from tiles.photos import renditions
from tiles.photos.accept import BOUNDS, EXTENSIONS, Accepted, Bounds, Refusal, accept, fingerprint
from tiles.photos.codes import codes_in_view
from tiles.photos.renditions import Size
from tiles.photos.store import PhotoStore
from tiles.tray import services as tray
from tiles.vocabulary import FiledBy

# Pictures are decoded one at a time in a process: that bounds its memory, whatever arrives at once.
_one_decodes = threading.Lock()

NAME_LENGTH = 200


class PhotoRefused(Exception):
    """The file is no photo we keep; `reason` is fit for the person who sent it."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


def photo_store() -> PhotoStore:
    """This studio's photographs on disk."""
    return PhotoStore(Path(settings.PHOTO_DIR))


def original_path(photo: Photo) -> Path:
    """Where a photo's original lies."""
    return photo_store().original(photo.sha256, EXTENSIONS[photo.format])


def store_photo(
    file: BinaryIO,
    *,
    by: User,
    name: str = "",
    tile: Tile | None = None,
    placement: Placement | None = None,
    zone: Zone | None = None,
) -> Photo:
    """Keep a photo and file it: to the tile or placement given, else by the code in view, else to the tray.

    The same photo sent twice is one photo; sent for a second tile it is filed to both; sent again from the bin it
    comes out of it. Raises `PhotoRefused`, and OSError when the disk refuses; then nothing is kept.
    """
    photo = _kept(file, by=by, name=name)
    if placement is not None:
        tray.file_photo(photo, placement.tile, by=by, placement=placement, zone=zone, how=FiledBy.UNLOADING)
    elif tile is not None:
        tray.file_photo(photo, tile, by=by, zone=zone)
    elif not photo.filings.exists():
        with _one_decodes:
            found = codes_in_view(file)
        tray.file_by_codes(photo, found, by=by)
    return photo


def _kept(file: BinaryIO, *, by: User, name: str) -> Photo:
    """The photo with its original on the disk; one that is here already is not examined again."""
    known = Photo.everything.filter(sha256=fingerprint(file)).first()
    if known is None or not original_path(known).exists():
        accepted = _accepted(file)
        photo_store().keep_original(file, accepted.sha256, accepted.extension)
        known = _row(accepted, by=by, name=name)
    if known.is_binned:
        known.take_out_of_bin()
    return known


def _accepted(file: BinaryIO) -> Accepted:
    with _one_decodes:
        found = accept(file, Bounds(most_bytes=min(settings.PHOTO_MAX_BYTES, BOUNDS.most_bytes)))
    if isinstance(found, Refusal):
        raise PhotoRefused(found.reason)
    return found


def _row(accepted: Accepted, *, by: User, name: str) -> Photo:
    """The photo's row, made once however many send the same picture at the same time."""
    known, _ = Photo.everything.get_or_create(
        sha256=accepted.sha256,
        defaults={
            "format": accepted.format,
            "width": accepted.width,
            "height": accepted.height,
            "byte_count": accepted.byte_count,
            "original_name": _plain_name(name),
            "taken_at": _with_zone(accepted.taken_at),
            "stored_by": by,
            "created_by": by,
        },
    )
    return known


def _plain_name(name: str) -> str:
    """The last part of a file's name, without what can't be printed."""
    last = name.replace("\\", "/").rpartition("/")[2]
    return "".join(letter for letter in last if letter.isprintable())[-NAME_LENGTH:]


def _with_zone(taken_at: datetime | None) -> datetime | None:
    """A camera's clock without an offset is taken as the studio's."""
    if taken_at is None or timezone.is_aware(taken_at):
        return taken_at
    return timezone.make_aware(taken_at)


@transaction.atomic
def bin_photo(photo: Photo, *, by: User) -> Photo:
    """Put a photo in the bin; its filings stay, so that it comes back to where it was."""
    photo.put_in_bin(by=by)
    return photo


@transaction.atomic
def unbin_photo(photo: Photo) -> Photo:
    """Take a photo out of the bin, filed as it was."""
    photo.take_out_of_bin()
    return photo


def rendition_path(photo: Photo, size: Size | str) -> Path:
    """The JPEG of a photo at one size, made now if it has not been or the cache was emptied.

    Raises FileNotFoundError when the original is gone.
    """
    store = photo_store()
    place = store.rendition(photo.sha256, _rendition_name(size))
    if not place.exists():
        prepare(photo, store)
    return place


def prepare(photo: Photo, store: PhotoStore | None = None) -> None:
    """Make all of a photo's renditions that are missing. Asks nothing of the database."""
    store = store or photo_store()
    with _one_decodes:
        if all(store.rendition(photo.sha256, _rendition_name(size)).exists() for size in Size):
            return
        with store.original(photo.sha256, EXTENSIONS[photo.format]).open("rb") as original:
            made = renditions.renditions(original)
    for size, content in made.items():
        store.keep_rendition(photo.sha256, _rendition_name(size), content)


def _rendition_name(size: Size | str) -> str:
    return f"{Size(size).value}.{renditions.EXTENSION}"
