"""Into the bin, out of it, and gone."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.db import IntegrityError, transaction
from django.db.models import ProtectedError, RestrictedError

from firings.logbook.services import let_later_firings_follow, settle_reached_cone
from firings.models import Firing, Kept, Kiln, Programme, User
from studio.bin.queries import expired, last_work
from tiles.models import (
    AbsorptionTest,
    BatchReading,
    Board,
    ClayBody,
    Glaze,
    GlazeBatch,
    LabelStock,
    LeachReport,
    Outcome,
    Photo,
    PhotoFiling,
    Place,
    Printer,
    SavedSearch,
    Series,
    StudioStandard,
    Tile,
    TileForm,
)
from tiles.photos.accept import EXTENSIONS
from tiles.photos.services import photo_store

# What holds others comes after them, so that a tile and its glaze may go on the same day.
EMPTIED_IN_ORDER: tuple[type[Kept], ...] = (
    SavedSearch,
    StudioStandard,
    LabelStock,
    Printer,
    Board,
    Photo,
    Outcome,
    AbsorptionTest,
    LeachReport,
    Tile,
    Place,
    Series,
    BatchReading,
    GlazeBatch,
    Glaze,
    ClayBody,
    TileForm,
    Firing,
    Programme,
    Kiln,
)
# How far beyond the last work anybody did the clock is believed, when something is to be deleted for good.
BELIEVED_FOR = timedelta(days=10)
LEFT_BEHIND = "The tile it showed is gone for good."


class CannotPutBack(Exception):
    """A record can't come out of the bin; the words are fit for a message."""


@dataclass(slots=True)
class Emptied:
    """What emptying the bin did: how many of each kind are gone, and what is still needed by others."""

    gone: dict[str, int] = field(default_factory=dict)
    still_needed: list[str] = field(default_factory=list)


@transaction.atomic
def put_in_bin(record: Kept, *, by: User) -> None:
    """Out of sight for 30 days; twice is as good as once."""
    if not record.is_binned:
        record._history_user = by  # type: ignore[attr-defined]
        record.put_in_bin(by=by)
        if isinstance(record, Firing):
            let_later_firings_follow(record, by=by)


def take_out_of_bin(record: Kept, *, by: User) -> None:
    """Back where it was. Raises CannotPutBack when its name was given to another meanwhile."""
    if not record.is_binned:
        return
    record._history_user = by  # type: ignore[attr-defined]
    try:
        with transaction.atomic():
            record.take_out_of_bin()
            if isinstance(record, Firing):
                settle_reached_cone(record, by=by)
    except IntegrityError:
        kind = record._meta.verbose_name
        raise CannotPutBack(
            f"There is another {kind} called {record} now. Give that one a different name first."
        ) from None


def empty_bin(now: datetime) -> Emptied:
    """Delete for good what has lain in the bin for 30 days, each record by itself; what others need stays.

    A clock that leapt ahead is believed only as far as somebody has worked since; a studio on holiday empties later.
    """
    emptied = Emptied()
    now = min(now, last_work() + BELIEVED_FOR)
    for model in EMPTIED_IN_ORDER:
        for record in expired(model, now).order_by("pk"):
            _delete(record, emptied)
    return emptied


def _delete(record: Kept, emptied: Emptied) -> None:
    kind = str(record._meta.verbose_name)
    words = f"{kind} {record}"
    try:
        with transaction.atomic():
            if isinstance(record, Photo):
                _forget_file_after_commit(record)
            if isinstance(record, Tile):
                _send_photos_to_tray(record)
            record.delete()
    except (ProtectedError, RestrictedError):
        emptied.still_needed.append(words)
    else:
        emptied.gone[kind] = emptied.gone.get(kind, 0) + 1


def _forget_file_after_commit(photo: Photo) -> None:
    """The row first, then the file: a crash between the two leaves a file nobody asks for, never a row without one."""
    sha256, extension = photo.sha256, EXTENSIONS[photo.format]
    transaction.on_commit(lambda: photo_store().remove_original(sha256, extension))


def _send_photos_to_tray(tile: Tile) -> None:
    """Photos that show only this tile are not thrown away with it; they wait in the sorting tray."""
    shown = Photo.objects.filter(filings__tile=tile).exclude(
        pk__in=PhotoFiling.objects.exclude(tile=tile).values("photo")
    )
    for photo in shown:
        photo.tray_reason = LEFT_BEHIND
        photo.save(update_fields=["tray_reason"])
