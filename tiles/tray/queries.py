"""What sorting and filing ask of the database."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Max, Min, Prefetch, Q, QuerySet
from django.db.models.functions import Coalesce

from firings.models import Firing, User
from firings.vocabulary import FIRED, FiringState
from tiles import numbers
from tiles.models import Photo, PhotoFiling, Placement, Tile
from tiles.tray.bursts import LONGEST_PAUSE, Taken, bursts
from tiles.tray.order import Run, Shot, runs
from tiles.tray.parts.cutting import Share
from tiles.tray.parts.queries import PhotoPart, shown_of

# More than one reaches for without looking.
OTHERS_SHOWN = 5
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
    run = next((run for run in waiting_runs() if any(each.photo == photo for each in run.photos)), None)
    return Sorting(
        photo,
        found[following] if following != names[at] else None,
        len(names),
        run.firing if run else None,
        tuple(_choices(photo, run)) if run and run.firing else (),
    )


def _choices(photo: Photo, run: "WaitingRun") -> Iterator[Choice]:
    """First what the order of shooting suggests, then the tiles of the firing that have no photo yet."""
    perhaps = next(each for each in run.photos if each.photo == photo)
    listed, pictured = _list_of(run.firing) if run.firing else ([], set())
    suggested = numbers.read(perhaps.label) if perhaps.label else None
    others = [number for number in listed if number not in pictured and number != suggested]
    offered = ([suggested] if suggested else []) + others[:OTHERS_SHOWN]
    what = _what_they_are(offered)
    for letter, number in zip(LETTERS, offered, strict=False):
        words = perhaps.words if number == suggested else ""
        yield Choice(letter, numbers.write(number), what.get(number, ""), words)


def filings_of(photo: Photo) -> QuerySet[PhotoFiling]:
    """Which tiles a photo shows, with what is written beside it."""
    return photo.filings.filter(tile__binned_at__isnull=True).select_related(
        "tile", "zone", "placement__firing", "filed_by"
    )


def states_of(names: Sequence[str]) -> dict[str, dict[str, str]]:
    """How far photos have come: stored and still to be looked at, filed (with the tiles), or waiting in the tray."""
    photos = Photo.objects.filter(sha256__in=names[:STATES_AT_ONCE])
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


@dataclass(frozen=True, slots=True)
class Perhaps:
    """A waiting photo, the number of the tile it may show (none where nothing suggests one), why, and that tile."""

    photo: Photo
    label: str
    words: str
    what: str = ""

    @property
    def take(self) -> str:
        """What accepting it sends: the photo and the tile together, so that what was seen is what is filed."""
        return f"{self.photo.sha256}:{self.label}"


@dataclass(frozen=True, slots=True)
class WaitingRun:
    """Photos that wait one after the other, what the order of shooting suggests, and the known photos at its ends."""

    firing: Firing | None
    photos: list[Perhaps]
    words: str
    after: Photo | None = None
    before: Photo | None = None
    after_label: str = ""
    before_label: str = ""

    @property
    def is_suggested(self) -> bool:
        return bool(self.photos and self.photos[0].label)


def waiting_runs() -> list[WaitingRun]:
    """Every run of waiting photos, oldest first, with the tiles it may show."""
    taken = _taken_around_the_tray()
    photos = _photos_with_filings([shot.photo for shot in taken])
    found = []
    for keys in bursts(taken):
        burst = [photos[key] for key in keys if key in photos]
        if any(not tiles_shown(photo) for photo in burst):
            found += _runs_of(burst)
    return found


def suggestions() -> dict[int, Perhaps]:
    """For each waiting photo, by its key, the tile it may show; photos with nothing to suggest are left out."""
    return {perhaps.photo.pk: perhaps for run in waiting_runs() if run.is_suggested for perhaps in run.photos}


def _taken_around_the_tray() -> list[Taken]:
    """The photos from a pause before the first waiting one to a pause after the last, in the order of shooting."""
    shot = Photo.objects.annotate(shot_at=Coalesce("taken_at", "stored_at"))
    ends = shot.filter(filings__isnull=True).aggregate(first=Min("shot_at"), last=Max("shot_at"))
    if ends["first"] is None:
        return []
    near = (ends["first"] - LONGEST_PAUSE, ends["last"] + LONGEST_PAUSE)
    rows = shot.filter(shot_at__range=near).order_by("shot_at", "stored_at", "pk")
    return [Taken(*row) for row in rows.values_list("pk", "shot_at", "stored_by")]


def _photos_with_filings(keys: Iterable[int]) -> dict[int, Photo]:
    filings = PhotoFiling.objects.select_related("tile", "placement")
    return (
        Photo.objects.prefetch_related(Prefetch("filings", filings))
        .select_related("stored_by")
        .in_bulk(list(keys))
    )


def tiles_shown(photo: Photo) -> tuple[int, ...]:
    """The numbers of the tiles a photo shows, each once."""
    return tuple(dict.fromkeys(filing.tile.number for filing in photo.filings.all()))


def _runs_of(burst: Sequence[Photo]) -> list[WaitingRun]:
    """The runs of one burst, by the list of the firing its known photos show, else of the one being unloaded."""
    firing = _firing_of(burst)
    listed, pictured = _list_of(firing) if firing else ([], set())
    photos = {photo.pk: photo for photo in burst}
    shots = [Shot(photo.pk, tiles_shown(photo)) for photo in burst]
    return [_waiting_run(run, firing, photos, burst) for run in runs(shots, listed, pictured)]


def _waiting_run(
    run: Run, firing: Firing | None, photos: dict[int, Photo], burst: Sequence[Photo]
) -> WaitingRun:
    what = _what_they_are(run.tiles)
    tiles = run.tiles or [None] * len(run.photos)
    perhaps = [
        Perhaps(photos[key], numbers.write(tile) if tile else "", run.words, what.get(tile, ""))
        for key, tile in zip(run.photos, tiles, strict=True)
    ]
    first, last = burst.index(perhaps[0].photo), burst.index(perhaps[-1].photo)
    return WaitingRun(
        firing,
        perhaps,
        run.words,
        burst[first - 1] if run.after is not None else None,
        burst[last + 1] if run.before is not None else None,
        numbers.write(run.after) if run.after is not None else "",
        numbers.write(run.before) if run.before is not None else "",
    )


def _what_they_are(tile_numbers: Sequence[int]) -> dict[int | None, str]:
    """Clay body and glazes of tiles by their numbers, in a line to compare a photo with."""
    tiles = Tile.objects.filter(number__in=tile_numbers).select_related("body")
    return {
        tile.number: " · ".join(
            filter(
                None,
                [tile.body.name, " + ".join(dict.fromkeys(layer.glaze.name for layer in tile.layers.all()))],
            )
        )
        for tile in tiles.prefetch_related("layers__glaze")
    }


def _firing_of(burst: Sequence[Photo]) -> Firing | None:
    placed = Counter(
        filing.placement.firing_id for photo in burst for filing in photo.filings.all() if filing.placement
    )
    if placed:
        return Firing.objects.filter(pk=placed.most_common(1)[0][0]).first()
    shot_at = max(photo.taken_at or photo.stored_at for photo in burst)
    being_unloaded = Firing.objects.filter(state=FiringState.FIRED.value)
    begun = being_unloaded.filter(Q(started_at__isnull=True) | Q(started_at__lte=shot_at))
    # With two firings being unloaded, which list to go by would be a guess.
    found = list(begun[:2])
    return found[0] if len(found) == 1 else None


def _list_of(firing: Firing) -> tuple[list[int], set[int]]:
    """The numbers of a firing's tiles in the order of the unload page, and of those that have a photo after it."""
    placements = Placement.objects.filter(firing=firing, tile__binned_at__isnull=True)
    pictured = placements.filter(photo_filings__photo__binned_at__isnull=True, photo_filings__isnull=False)
    listed = [placement.tile.number for placement in placements.by_shelf()]
    return listed, set(pictured.values_list("tile__number", flat=True))


def firing_of_number(sent: str) -> Firing | None:
    """The firing of a number in an address; none for anything else."""
    if not (sent.isascii() and sent.isdigit() and len(sent) <= 9):
        return None
    return Firing.objects.filter(number=int(sent)).first()


def without_photo(firing: Firing) -> tuple[int, int]:
    """How many of a firing's tiles have no photo after it yet, and how many tiles there are."""
    listed, pictured = _list_of(firing)
    return sum(number not in pictured for number in listed), len(listed)


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
