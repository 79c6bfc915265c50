"""Looking at a photo after it was stored. Every step finds what an earlier try has done already."""

import threading
from datetime import timedelta
from typing import BinaryIO

from django.db import transaction
from django.utils import timezone
from django_tasks.base import Task

from tiles.colour import services as colour
from tiles.models import Photo
from tiles.photos import accept, look, renditions
from tiles.photos.queries import not_looked_at, original_path, photo_store
from tiles.photos.renditions import Size
from tiles.tray import services as tray

# Pictures are decoded one at a time in a process: that bounds its memory, whatever arrives at once.
one_decodes = threading.Lock()

FORGOTTEN_AFTER = timedelta(hours=1)
# After the photos that somebody sent just now.
WHEN_IDLE = -50


def look_at_photo(photo: Photo) -> None:
    """Decode all of a photo, make its renditions, see what is in view, file by that, measure what may be.

    A photo that turns out damaged says so, and its file is kept. Raises OSError when the original is gone or the disk
    refuses: then it is worth another try.
    """
    found = make_renditions(photo)
    if found is not None:
        _say_damaged(photo, found)
        return
    with one_decodes, original_path(photo).open("rb") as original:
        seen = look.look_at(original).as_json()
    _keep_look(photo, seen)
    colour.measure_outcomes(photo)


@transaction.atomic
def _keep_look(photo: Photo, seen: dict[str, object]) -> None:
    """What was seen and where it is filed by that, both or neither. No change of a person's: no line in the history."""
    photo.look, photo.looked_at, photo.damage = seen, timezone.now(), ""
    Photo.everything.filter(pk=photo.pk).update(look=seen, looked_at=photo.looked_at, damage="")
    tray.file_what_is_in_view(photo)


@transaction.atomic
def _say_damaged(photo: Photo, found: accept.Refusal) -> None:
    """Take a damaged photo off the tiles it was sent for, into the tray, with what to do about it."""
    photo.damage, photo.looked_at = found.reason, timezone.now()
    photo.save(update_fields=["damage", "looked_at"])
    labels = [filed.tile.label for filed in photo.filings.select_related("tile")]
    photo.filings.all().delete()
    sent_for = f" It was sent for tile {', '.join(labels)}." if labels else ""
    if labels or not photo.tray_reason:
        tray.leave_in_tray(photo, found.reason + sent_for)


def make_renditions(photo: Photo) -> accept.Refusal | None:
    """Make all of a photo's renditions that are missing; what is wrong with it if they cannot be made."""
    store = photo_store()
    with one_decodes:
        if all(store.rendition(photo.sha256, rendition_name(size)).exists() for size in Size):
            return None
        with original_path(photo).open("rb") as original:
            made = _renditions_or_damage(original)
    if isinstance(made, accept.Refusal):
        return made
    for size, content in made.items():
        store.keep_rendition(photo.sha256, rendition_name(size), content)
    return None


def _renditions_or_damage(original: BinaryIO) -> dict[Size, bytes] | accept.Refusal:
    """Making them reads every byte; where that fails, a second look tells damage from a fault of ours."""
    try:
        return renditions.renditions(original)
    except Exception:  # damaged pictures raise nearly anything
        found = accept.damage(original)
        if found is None:
            raise
        return found


def rendition_name(size: Size | str) -> str:
    """What a rendition's file is called behind the photo's hash."""
    return f"{Size(size).value}.{renditions.EXTENSION}"


def plan_looking(at_photo: Task) -> int:
    """See that each photo nobody has looked at for an hour will be; how many that were."""
    forgotten = not_looked_at(FORGOTTEN_AFTER).values_list("pk", flat=True)
    for pk in forgotten:
        at_photo.using(priority=WHEN_IDLE).enqueue(pk)
    return len(forgotten)
