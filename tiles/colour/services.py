"""Measure colours on photos, say which reading counts, and take it back.

All changes of one step carry one moment, its mark, in the history of readings and outcomes: by it a step is undone.
"""

import threading
from collections.abc import Iterable, Mapping
from datetime import datetime
from functools import lru_cache
from typing import Any

from django.db import transaction
from django.utils import timezone

from firings.models import CannotUndo, User
from firings.moments import TICK, mark_of, moment_of
from tiles.colour import queries
from tiles.colour.lab import Illuminant, adapt, lab_to_xyz, xyz_to_lab
from tiles.colour.placing import Corners, is_in_view
from tiles.colour.queries import WORTH, worth
from tiles.colour.regions import AreaColour
from tiles.colour.scene import MEASURED_AT_PX, Scene, scene_of
from tiles.colour.swatch import KEPT_UNDER
from tiles.models import ColourReading, Outcome, Photo
from tiles.photos import renditions
from tiles.photos.queries import original_path
from tiles.vocabulary import ColourBasis

COLOUR = ("lab_l", "lab_a", "lab_b", "lab_basis")
READ = (
    *("lab_l", "lab_a", "lab_b", "basis", "spread_de", "residual_de", "clipped_share", "pixel_count", "area"),
    *("colours", "counts", "read_at", "read_by"),
)

# Photos are decoded one at a time, and the last two stay at hand while their areas are pulled about.
_one_decodes = threading.Lock()


def open_scene(photo: Photo) -> Scene:
    """A photo ready to be measured, from its original, decoded once at a bounded size.

    Raises OSError when the original is gone or cannot be decoded.
    """
    with _one_decodes:
        return _scene(photo.sha256, photo.looked_at)


@lru_cache(maxsize=2)
def _scene(sha256: str, looked_at: datetime | None) -> Scene:
    photo = Photo.everything.get(sha256=sha256)
    with original_path(photo).open("rb") as original:
        picture = renditions.upright(original, MEASURED_AT_PX)
    return scene_of(picture, queries.look_of(photo))


@transaction.atomic
def keep_readings(
    photo: Photo, readings: Mapping[int, tuple[Corners, AreaColour]], *, by: User | None
) -> tuple[list[int], int]:
    """Keep what was read of outcomes on one photo, by their keys: corners and colour. A second reading on the same
    photo takes the place of the first; what stood there stays in history.

    Returns the keys of the outcomes and the mark by which it is undone. Read by nobody (`by` None) it leaves alone what
    a person measured, unless that rests on less.
    """
    outcomes = _locked(readings)
    moment = timezone.now()
    for outcome in outcomes:
        corners, colour = readings[outcome.pk]
        known = ColourReading.objects.filter(outcome=outcome, photo=photo).first()
        reading = known or ColourReading(outcome=outcome, photo=photo)
        _fill(reading, corners, colour, moment, by)
        _let_count(outcome, _which_counts(outcome, reading, by), moment, by, also=reading)
    return [outcome.pk for outcome in outcomes], mark_of(moment)


def _locked(keys: Iterable[int]) -> list[Outcome]:
    return list(Outcome.objects.select_for_update(of=("self",)).filter(pk__in=list(keys)).order_by("pk"))


def _fill(
    reading: ColourReading, corners: Corners, colour: AreaColour, moment: datetime, by: User | None
) -> None:
    reading.lab_l, reading.lab_a, reading.lab_b = _within_bounds(colour.lab)
    reading.basis = ColourBasis(colour.basis.value.replace(" ", "_")).value
    reading.spread_de, reading.residual_de = colour.spread_de, colour.uncertainty
    reading.clipped_share, reading.pixel_count = colour.clipped_share, colour.n
    reading.area = [list(corner) for corner in corners]
    reading.colours = [[*main.lab, round(main.share, 3)] for main in colour.mains]
    reading.read_at, reading.read_by = moment, by


def _within_bounds(lab: tuple[float, float, float]) -> tuple[float, float, float]:
    """Put right, a very dark or very light area may come out a hair beyond black or white."""
    return min(max(lab[0], 0.0), 100.0), lab[1], lab[2]


def _which_counts(outcome: Outcome, new: ColourReading, by: User | None) -> ColourReading | None:
    """The best evidence, among equals the newest; a reading nobody asked for gives way to a person's as good."""
    others = [one for one in outcome.colour_readings.all() if one.pk != new.pk]
    stands = next((one for one in others if one.counts and one.read_by_id), None)
    if by is None and stands and WORTH[stands.basis] >= WORTH[new.basis]:
        return stands
    best = max([*others, new], key=worth)
    typed_in = outcome.lab_basis and not any(one.counts for one in [*others, new])
    if typed_in and WORTH[outcome.lab_basis] > WORTH[best.basis]:
        return None
    return best


def _let_count(
    outcome: Outcome,
    chosen: ColourReading | None,
    moment: datetime,
    by: User | None,
    *,
    also: ColourReading | None = None,
) -> None:
    """Save which reading counts and copy it to the outcome; `also` is saved in any case. None leaves the colour be."""
    for other in outcome.colour_readings.filter(counts=True):
        if chosen is not None and other.pk not in (chosen.pk, also.pk if also else None):
            other.counts = False
            _save(other, moment, by)
    if also is not None:
        also.counts = also is chosen or (chosen is not None and also.pk is not None and also.pk == chosen.pk)
        _save(also, moment, by)
    if chosen is None:
        return
    if not chosen.counts:
        chosen.counts = True
        _save(chosen, moment, by)
    outcome.lab_l, outcome.lab_a, outcome.lab_b = chosen.lab_l, chosen.lab_a, chosen.lab_b
    outcome.lab_basis = chosen.basis
    _save(outcome, moment, by, update_fields=list(COLOUR))


def _save(record: Any, moment: datetime, by: User | None, **how: Any) -> None:
    _sign(record, moment, by)
    record.save(**how)


def _sign(record: Any, moment: datetime, by: User | None) -> None:
    """Let history say who, and when by the step's own moment."""
    record._history_date = moment
    if by is not None:
        record._history_user = by


@transaction.atomic
def choose_reading(reading: ColourReading, *, by: User) -> int:
    """Let another reading count, until the next measurement; returns the mark by which it is undone."""
    (outcome,) = _locked([reading.outcome_id])
    moment = timezone.now()
    _let_count(outcome, reading, moment, by)
    return mark_of(moment)


@transaction.atomic
def keep_instrument(
    outcome: Outcome, lab: tuple[float, float, float], illuminant: Illuminant, *, by: User
) -> int:
    """Keep what an instrument read, stated for an illuminant; it counts before any photo. Returns the mark."""
    (outcome,) = _locked([outcome.pk])
    moment = timezone.now()
    xyz = adapt(lab_to_xyz(lab, illuminant), illuminant, KEPT_UNDER)
    lightness, a, b = (round(float(value), 2) for value in xyz_to_lab(xyz, KEPT_UNDER))
    reading = ColourReading(outcome=outcome, basis=ColourBasis.INSTRUMENT.value, read_at=moment, read_by=by)
    reading.spread_de, reading.pixel_count = 0, 0
    reading.lab_l, reading.lab_a, reading.lab_b = _within_bounds((lightness, a, b))
    _let_count(outcome, reading, moment, by, also=reading)
    return mark_of(moment)


@transaction.atomic
def undo_colours(keys: Iterable[int], mark: int, *, by: User) -> list[Outcome]:
    """Take back one step on these outcomes: readings and colours stand again as they stood before it.

    Raises CannotUndo where their colours were changed again since, or nothing was done at that moment.
    """
    step = moment_of(mark)
    outcomes = [outcome for outcome in _locked(keys) if _was_touched(outcome, step)]
    if not outcomes or any(_changed_since(outcome, step) for outcome in outcomes):
        raise CannotUndo("These colours were changed again since; nothing was undone.")
    moment = timezone.now()
    for outcome in outcomes:
        _restore_readings(outcome, step - TICK, moment, by)
        _restore_colour(outcome, step - TICK, moment, by)
    return outcomes


def _was_touched(outcome: Outcome, step: datetime) -> bool:
    return ColourReading.history.filter(outcome=outcome, history_date=step).exists()


def _changed_since(outcome: Outcome, step: datetime) -> bool:
    if ColourReading.history.filter(outcome=outcome, history_date__gt=step).exists():
        return True
    then = outcome.history.filter(history_date__lte=step).order_by("history_id").last()
    return then is not None and any(getattr(then, name) != getattr(outcome, name) for name in COLOUR)


def _restore_readings(outcome: Outcome, before: datetime, moment: datetime, by: User) -> None:
    stood = {row.pk: row for row in ColourReading.history.as_of(before).filter(outcome=outcome)}
    for reading in outcome.colour_readings.order_by("counts", "pk").reverse():
        was = stood.get(reading.pk)
        if was is None:
            _sign(reading, moment, by)
            reading.delete()
        elif reading.counts and not was.counts:
            _save(was, moment, by)
    standing = {row.pk: row for row in outcome.colour_readings.all()}
    for pk, was in stood.items():
        if any(getattr(was, name) != getattr(standing.get(pk), name, None) for name in READ):
            _save(was, moment, by)


def _restore_colour(outcome: Outcome, before: datetime, moment: datetime, by: User) -> None:
    was = outcome.history.filter(history_date__lte=before).order_by("history_id").last()
    for name in COLOUR:
        setattr(outcome, name, getattr(was, name) if was else ("" if name == "lab_basis" else None))
    _save(outcome, moment, by, update_fields=list(COLOUR))


def read_zones(photo: Photo, areas: Mapping[int, Corners]) -> dict[int, AreaColour | str]:
    """The colour within each area, by its outcome's key, or why there is none, in words."""
    scene = open_scene(photo)
    return {pk: _read_or_why(scene, corners) for pk, corners in areas.items()}


def _read_or_why(scene: Scene, corners: Corners) -> AreaColour | str:
    try:
        return scene.read(corners)
    except ValueError as problem:
        return f"No colour: {problem}."


def measure_outcomes(photo: Photo, *, by: User | None = None) -> list[int]:
    """Measure what a photo shows without anyone laying areas; returns the keys of the outcomes measured.

    Only where it may be trusted unasked: a colour chart in view, and the tile on the photo mat, alone. Meant for the
    worker, after it has looked at the photo and filed it. The same photo measured twice changes nothing.
    """
    look = queries.look_of(photo)
    if look is None or not queries.is_measurable_unasked(look):
        return []
    shown = [zone for zone in queries.shown_on(photo) if zone.is_of_the_side_in_view]
    if len({zone.filing.tile_id for zone in shown}) != 1:
        return []
    scene = open_scene(photo)
    areas = {pk: area for pk, area in queries.laid_areas(shown, photo, look).items() if is_in_view(area)}
    known = set(queries.kept_areas(photo))
    colours = {
        pk: (area, found)
        for pk, area in areas.items()
        if pk not in known and isinstance(found := _read_or_why(scene, area), AreaColour)
    }
    return keep_readings(photo, colours, by=by)[0] if colours else []
