"""What the order of shooting suggests for the photos in the tray."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Max, Min, Prefetch, Q
from django.db.models.functions import Coalesce

from firings.models import Firing
from firings.vocabulary import FiringState
from tiles import numbers
from tiles.models import Photo, PhotoFiling, Placement, Tile
from tiles.tray.shooting.bursts import LONGEST_PAUSE, Taken, bursts
from tiles.tray.shooting.order import Run, Shot, runs


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


def waiting_runs(of: Photo | None = None) -> list[WaitingRun]:
    """Every run of waiting photos, oldest first, with the tiles it may show; or those of one photo's burst alone."""
    found: list[WaitingRun] = []
    wanted = [keys for keys in bursts(_taken_around_the_tray()) if of is None or of.pk in keys]
    photos = _photos_with_filings([key for keys in wanted for key in keys])
    for keys in wanted:
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
    return [Taken(*row) for row in rows.values_list("pk", "shot_at", "stored_by", "sent_from")]


def _photos_with_filings(keys: Iterable[int]) -> dict[int, Photo]:
    filings = PhotoFiling.objects.select_related("tile", "placement")
    return (
        Photo.objects.prefetch_related(Prefetch("filings", filings))
        .select_related("stored_by", "sent_from")
        .in_bulk(list(keys))
    )


def tiles_shown(photo: Photo) -> tuple[int, ...]:
    """The numbers of the tiles a photo shows, each once."""
    return tuple(dict.fromkeys(filing.tile.number for filing in photo.filings.all()))


def _runs_of(burst: Sequence[Photo]) -> list[WaitingRun]:
    """The runs of one burst, by the list of its firing."""
    firing = _firing_of(burst)
    listed, pictured = list_of(firing) if firing else ([], set())
    photos = {photo.pk: photo for photo in burst}
    shots = [Shot(photo.pk, tiles_shown(photo)) for photo in burst]
    return [_waiting_run(run, firing, photos, burst) for run in runs(shots, listed, pictured)]


def _waiting_run(
    run: Run, firing: Firing | None, photos: dict[int, Photo], burst: Sequence[Photo]
) -> WaitingRun:
    what = what_they_are(run.tiles)
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


def what_they_are(tile_numbers: Sequence[int]) -> dict[int | None, str]:
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
    """The firing it was sent from, else the one its known photos show, else the one being unloaded."""
    return _sent_from(burst) or _placed_in(burst) or _being_unloaded(burst)


def _sent_from(burst: Sequence[Photo]) -> Firing | None:
    """The firing on whose page a burst was sent; none where its known photos show no tile of that firing."""
    firing = next((photo.sent_from for photo in reversed(burst) if photo.sent_from), None)
    known = {number for photo in burst for number in tiles_shown(photo)}
    if firing is None or not _had_begun(firing, burst):
        return None
    is_its_own = not known or not known.isdisjoint(list_of(firing)[0])
    return firing if is_its_own else None


def _had_begun(firing: Firing, burst: Sequence[Photo]) -> bool:
    return firing.started_at is None or firing.started_at <= _shot_at(burst)


def _shot_at(burst: Sequence[Photo]) -> datetime:
    """When the last photo was taken."""
    return max(photo.taken_at or photo.stored_at for photo in burst)


def _placed_in(burst: Sequence[Photo]) -> Firing | None:
    placed = Counter(
        filing.placement.firing_id for photo in burst for filing in photo.filings.all() if filing.placement
    )
    return Firing.objects.filter(pk=placed.most_common(1)[0][0]).first() if placed else None


def _being_unloaded(burst: Sequence[Photo]) -> Firing | None:
    being_unloaded = Firing.objects.filter(state=FiringState.FIRED.value)
    begun = being_unloaded.filter(Q(started_at__isnull=True) | Q(started_at__lte=_shot_at(burst)))
    # With two firings being unloaded, which list to go by would be a guess.
    found = list(begun[:2])
    return found[0] if len(found) == 1 else None


def list_of(firing: Firing) -> tuple[list[int], set[int]]:
    """The numbers of a firing's tiles in the order of the unload page, and of those that have a photo after it."""
    placements = Placement.objects.filter(firing=firing, tile__binned_at__isnull=True)
    pictured = placements.filter(photo_filings__photo__binned_at__isnull=True, photo_filings__isnull=False)
    listed = [placement.tile.number for placement in placements.by_shelf()]
    return listed, set(pictured.values_list("tile__number", flat=True))


def without_photo(firing: Firing) -> tuple[int, int]:
    """How many of a firing's tiles have no photo after it yet, and how many tiles there are."""
    listed, pictured = list_of(firing)
    return sum(number not in pictured for number in listed), len(listed)
