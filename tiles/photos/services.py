"""Storing photographs. The file is on the disk before the row is in the table, always in that order.

Nothing is decoded here: whoever sent a photo waits for its bytes to be safe, and for nothing else.
"""

import threading
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import BinaryIO

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from firings.models import Firing, User
from tiles.looking import services as looking
from tiles.looking.tasks import look_at_photo_soon
from tiles.models import Photo, Placement, Tile, Zone
from tiles.photos.accept import BOUNDS, Accepted, Bounds, Refusal, glance
from tiles.photos.queries import original_path, photo_store
from tiles.photos.renditions import Size
from tiles.photos.store import Arrival
from tiles.tray import services as tray
from tiles.vocabulary import FiledBy

NAME_LENGTH = 200
# For so long a worker is given the time to make what is shown; then it is made when it is asked for.
MADE_ON_DEMAND_AFTER = timedelta(seconds=20)

# Opening a WebP alone takes eight bytes a pixel: one at a time in a process, which costs the others 2 ms at most.
_one_glances = threading.Lock()


class PhotoRefused(Exception):
    """The file is no photo we keep; `reason` is fit for the person who sent it."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


def store_photo(
    file: BinaryIO | Arrival,
    *,
    by: User,
    name: str = "",
    tile: Tile | None = None,
    placement: Placement | None = None,
    zone: Zone | None = None,
    sent_from: Firing | None = None,
    anyway: bool = True,
    look: bool = True,
) -> Photo:
    """Keep a photo, filed to the tile or placement given; a worker decodes it, looks at it, and files by what it sees.

    The same photo sent twice is one photo; sent for a second tile it is filed to both, or where not `anyway` stays on
    the first alone; sent again from the bin it comes out of it. Without `look` nothing is looked for in it: a drawing
    that shows nothing but its tile. Raises `PhotoRefused`, and OSError when the disk refuses; then nothing is kept.
    """
    if isinstance(file, Arrival):
        accepted = _kept_file(file)
    else:
        with photo_store().take_in(file) as arrival:
            accepted = _kept_file(arrival)
    return _kept_row(accepted, Sent(by, name, tile, placement, zone, sent_from, anyway), look=look)


def _kept_file(arrival: Arrival) -> Accepted:
    """What is known of a file once it lies under its name on the disk."""
    bounds = Bounds(most_bytes=min(settings.PHOTO_MAX_BYTES, BOUNDS.most_bytes))
    with _one_glances:
        found = glance(arrival.file, bounds, arrival.sha256)
    if isinstance(found, Refusal):
        raise PhotoRefused(found.reason)
    photo_store().keep_original(arrival, found.extension)
    return found


@dataclass(frozen=True, slots=True)
class Sent:
    """Who sent a photo, what it was called, what it was sent for, and from which firing's page."""

    by: User
    name: str
    tile: Tile | None
    placement: Placement | None
    zone: Zone | None
    sent_from: Firing | None
    anyway: bool

    def is_for_another_than(self, photo: Photo) -> bool:
        """Whether the photo is on other tiles and not on the one it was sent for, which may be a slip."""
        there = set(photo.filings.values_list("tile", flat=True))
        wanted = self.placement.tile if self.placement else self.tile
        return bool(there) and wanted is not None and wanted.pk not in there


@transaction.atomic
def _kept_row(accepted: Accepted, sent: Sent, *, look: bool) -> Photo:
    """The photo's row, where it is filed, and that somebody shall look at it: all of it or nothing."""
    photo = _row(accepted, sent, look=look)
    _note_where_from(photo, sent)
    if photo.is_binned:
        photo.take_out_of_bin()
    if not sent.anyway and sent.is_for_another_than(photo):
        return photo
    if sent.placement is not None:
        tile, how = sent.placement.tile, FiledBy.UNLOADING
        tray.file_photo(photo, tile, by=sent.by, placement=sent.placement, zone=sent.zone, how=how)
    elif sent.tile is not None:
        tray.file_photo(photo, sent.tile, by=sent.by, zone=sent.zone)
    if photo.looked_at is None or photo.damage:
        look_at_photo_soon.enqueue(photo.pk)
    return photo


def _note_where_from(photo: Photo, sent: Sent) -> None:
    """A photo that waits goes by the list of the firing it was sent from last."""
    if sent.sent_from and photo.sent_from != sent.sent_from and not photo.filings.exists():
        photo.sent_from = sent.sent_from
        photo.save(update_fields=["sent_from"])


def _row(accepted: Accepted, sent: Sent, *, look: bool) -> Photo:
    """The photo's row, made once however many send the same picture at the same time."""
    known, _ = Photo.everything.get_or_create(
        sha256=accepted.sha256,
        defaults={
            "format": accepted.format,
            "width": accepted.width,
            "height": accepted.height,
            "byte_count": accepted.byte_count,
            "original_name": _plain_name(sent.name),
            "taken_at": _with_zone(accepted.taken_at),
            "looked_at": None if look else timezone.now(),
            "stored_by": sent.by,
            "sent_from": sent.sent_from,
            "created_by": sent.by,
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

    Raises FileNotFoundError when the original is gone or damaged.
    """
    place = photo_store().rendition(photo.sha256, looking.rendition_name(size))
    if not place.exists():
        found = looking.make_renditions(photo)
        if found is not None:
            raise FileNotFoundError(found.reason)
    return place


def is_still_to_come(photo: Photo, size: Size | str) -> bool:
    """Whether a worker is about to make this rendition; after some seconds it is made on demand."""
    if photo.looked_at is not None or timezone.now() - photo.stored_at > MADE_ON_DEMAND_AFTER:
        return False
    there = photo_store().rendition(photo.sha256, looking.rendition_name(size)).exists()
    return not there and original_path(photo).exists()
