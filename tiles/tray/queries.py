"""What sorting and filing ask of the database."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Q, QuerySet
from django.db.models.functions import Coalesce

from firings.models import Firing, User
from firings.vocabulary import FIRED
from tiles import numbers
from tiles.models import Photo, PhotoFiling, Placement, Tile
from tiles.tray.parts.cutting import Share
from tiles.tray.parts.queries import PhotoPart, shown_of
from tiles.tray.shooting.queries import WaitingRun, list_of, tiles_shown, waiting_runs, what_they_are

# More than one reaches for without looking.
OTHERS_SHOWN = 5
# Photos brought in at a desk are of a firing not long ago.
FIRINGS_OFFERED = 12
# Not u and s: those undo and skip.
LETTERS = "abcdef"
# A phone asks about the photos it has just sent.
STATES_AT_ONCE = 100


def in_tray() -> QuerySet[Photo]:
    """Photos that wait to be filed, in the order they were taken; where the camera did not say, by their arrival."""
    waiting = Photo.objects.unfiled().select_related("stored_by")
    return waiting.order_by(Coalesce("taken_at", "stored_at"), "stored_at", "pk")


@dataclass(frozen=True, slots=True)
class Choice:
    """A tile a photo may show, filed by a tap or a letter; `words` only where the order of shooting suggests it."""

    letter: str
    label: str
    what: str
    words: str = ""


@dataclass(frozen=True, slots=True)
class Sorting:
    """One waiting photo to be sorted now, the one after it, how many wait, and the tiles of the firing it may show."""

    photo: Photo | None
    following: Photo | None
    count: int
    firing: Firing | None = None
    choices: tuple[Choice, ...] = ()


def sorting(sha256: str = "") -> Sorting:
    """The waiting photo of this name, else the first; the one after the last is the first again."""
    names = list(in_tray().values_list("sha256", flat=True))
    if not names:
        return Sorting(None, None, 0)
    at = names.index(sha256) if sha256 in names else 0
    following = names[(at + 1) % len(names)]
    found = {photo.sha256: photo for photo in in_tray().filter(sha256__in={names[at], following})}
    photo = found[names[at]]
    run = next((run for run in waiting_runs(photo) if any(each.photo == photo for each in run.photos)), None)
    return Sorting(
        photo,
        found[following] if following != names[at] else None,
        len(names),
        run.firing if run else None,
        tuple(_choices(photo, run)) if run and run.firing else (),
    )


def _choices(photo: Photo, run: WaitingRun) -> Iterator[Choice]:
    """First what the order of shooting suggests, then the tiles of the firing that have no photo yet."""
    perhaps = next(each for each in run.photos if each.photo == photo)
    listed, pictured = list_of(run.firing) if run.firing else ([], set())
    suggested = numbers.read(perhaps.label) if perhaps.label else None
    others = [number for number in listed if number not in pictured and number != suggested]
    offered = ([suggested] if suggested else []) + others[:OTHERS_SHOWN]
    what = what_they_are(offered)
    for letter, number in zip(LETTERS, offered, strict=False):
        words = perhaps.words if number == suggested else ""
        yield Choice(letter, numbers.write(number), what.get(number, ""), words)


def firings_to_photograph(chosen: str = "") -> list[Firing]:
    """Firings whose tiles may be what was photographed, the newest first, and the chosen one by its number."""
    loaded = Firing.objects.filter(state__in=FIRED, placements__isnull=False).distinct()
    newest = list(loaded.select_related("kiln").order_by("-number")[:FIRINGS_OFFERED])
    one = firing_of_number(chosen)
    return newest if one is None or one in newest else [one, *newest]


def filings_of(photo: Photo) -> QuerySet[PhotoFiling]:
    """Which tiles a photo shows, with what is written beside it."""
    return photo.filings.filter(tile__binned_at__isnull=True).select_related(
        "tile", "zone", "placement__firing", "filed_by"
    )


def photo_names(sent: Sequence[str]) -> list[str]:
    """Those of the words sent that can name a photo; a database refuses some others even to be asked about."""
    return [name for name in sent if re.fullmatch("[0-9a-f]{64}", name)]


def states_of(names: Sequence[str]) -> dict[str, dict[str, str]]:
    """How far photos have come: stored and still to be looked at, filed (with the tiles), or waiting in the tray."""
    photos = Photo.objects.filter(sha256__in=photo_names(names[:STATES_AT_ONCE]))
    return {photo.sha256: _state_of(photo) for photo in photos.prefetch_related("filings__tile")}


def _state_of(photo: Photo) -> dict[str, str]:
    if tiles := tiles_shown(photo):
        return {"state": "filed", "tile": ", ".join(numbers.write(tile) for tile in tiles)}
    if photo.looked_at is None and not photo.tray_reason:
        return {"state": "stored"}
    return {"state": "tray", "reason": photo.tray_reason}


def shares_of(photo: Photo) -> list[Share]:
    """The parts of a photo that tiles are filed with."""
    parts = [shown_of(filing) for filing in photo.filings.exclude(region=None).select_related("photo")]
    return [part.share for part in parts if isinstance(part, PhotoPart)]


def other_tiles_of(filing: PhotoFiling) -> list[str]:
    """The other tiles a photo is with: somebody may have filed it while it still lay open here."""
    others = PhotoFiling.objects.filter(photo=filing.photo_id).exclude(tile=filing.tile_id)
    return sorted({each.tile.label for each in others.select_related("tile")})


def firing_of_number(sent: str) -> Firing | None:
    """The firing of a number in an address; none for anything else."""
    if not (sent.isascii() and sent.isdigit() and len(sent) <= 9):
        return None
    return Firing.objects.filter(number=int(sent)).first()


def last_filed_by(person: User, within: timedelta, now: datetime) -> PhotoFiling | None:
    """What a person filed last, if that was not long ago: what a further undo takes back."""
    mine = PhotoFiling.objects.filter(
        filed_by=person, filed_at__gt=now - within, photo__binned_at__isnull=True
    )
    return mine.select_related("photo", "tile").order_by("-filed_at", "-pk").first()


def placement_shown(tile: Tile, taken_at: datetime | None) -> Placement | None:
    """The firing whose result a photo of this tile shows, where that follows from what is known.

    A tile that was fired again looks as it does after its last firing before the shutter opened. When the camera
    did not say when that was, only a tile with a single firing behind it leaves no doubt.
    """
    fired = tile.placements.filter(firing__state__in=FIRED, firing__binned_at__isnull=True)
    if taken_at is None:
        found = list(fired[:2])
        return found[0] if len(found) == 1 else None
    before = Q(firing__started_at__isnull=True) | Q(firing__started_at__lte=taken_at)
    return fired.filter(before).order_by("-sequence").first()
