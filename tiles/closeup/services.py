"""Cut pieces of photos when they are asked for; keep a run that was measured, and take it back."""

from pathlib import Path
from typing import Any

from django.db import transaction
from django.utils import timezone

from firings.logbook.states import is_through_the_fire
from firings.models import CannotUndo, User
from firings.moments import moment_of
from tiles.closeup.pieces import pieces
from tiles.closeup.pyramid import Pyramid
from tiles.closeup.reading import Reading
from tiles.looking.services import one_decodes
from tiles.models import Outcome, Photo, RunReading
from tiles.photos.queries import original_path, photo_store
from tiles.photos.renditions import EXTENSION
from tiles.unloading.services import NotFired

RUN = ("run_mm", "runs_off", "judged_by_id", "judged_at")
COLUMNS = ("run_mm", "runs_off", "judged_by", "judged_at")


def piece_path(photo: Photo, level: int, column: int, row: int) -> Path:
    """The JPEG of one piece; where it has not been cut yet, all pieces of its level are.

    Raises LookupError when the photo has no such piece, FileNotFoundError when its original is gone or damaged.
    """
    Pyramid(photo.width, photo.height).box(level, column, row)
    place = photo_store().rendition(photo.sha256, _piece_name(level, column, row))
    if not place.exists():
        _cut_level(photo, level, place)
    return place


def _cut_level(photo: Photo, level: int, wanted: Path) -> None:
    """Cut a level from one decoding; whoever waited for the lock meanwhile may find it done."""
    if photo.damage:
        raise FileNotFoundError(photo.damage)
    store = photo_store()
    with one_decodes, original_path(photo).open("rb") as original:
        if wanted.exists():
            return
        for column, row, content in pieces(original, level):
            store.keep_rendition(photo.sha256, _piece_name(level, column, row), content)


def _piece_name(level: int, column: int, row: int) -> str:
    return f"piece-{level}-{column}-{row}.{EXTENSION}"


@transaction.atomic
def keep_run(photo: Photo, outcome: Outcome, reading: Reading, *, by: User) -> RunReading:
    """Keep a run measured on a photo, and as the outcome's own; both or neither.

    A judged outcome counts as judged again now; one that nobody judged stays so, as a run alone is no judgement.
    Raises NotFired.
    """
    standing = Outcome.objects.select_for_update(of=("self",)).select_related("placement__firing")
    outcome = standing.get(pk=outcome.pk)
    firing = outcome.placement.firing
    if not is_through_the_fire(firing.state):
        raise NotFired(f"{firing.label} is still {firing.state}. Mark it fired, then measure.")
    now = timezone.now()
    kept = RunReading.objects.filter(outcome=outcome, photo=photo).first()
    kept = kept or RunReading(outcome=outcome, photo=photo)
    kept.line, kept.scale_basis = list(reading.line), reading.basis
    kept.run_mm, kept.plus_minus_mm = reading.run_mm, reading.plus_minus_mm
    kept.read_at, kept.read_by = now, by
    _sign(kept, by)
    kept.save()
    outcome.run_mm, outcome.runs_off = reading.run_mm, reading.runs_off
    if outcome.is_judged:
        outcome.judged_by, outcome.judged_at = by, now
    _sign(outcome, by)
    outcome.save(update_fields=COLUMNS)
    return kept


def _sign(record: Any, by: User) -> None:
    """Let history say who, where no request tells it."""
    if by is not None:
        record._history_user = by


@transaction.atomic
def undo_run(photo: Photo, outcome: Outcome, mark: int, *, by: User) -> None:
    """Take back the run that was measured at that moment; what stood there before stands again.

    Raises CannotUndo where the run was measured or the zone judged again since.
    """
    try:
        moment = moment_of(mark)
    except OverflowError:
        raise CannotUndo("There is nothing to undo.") from None
    outcome = Outcome.objects.select_for_update(of=("self",)).get(pk=outcome.pk)
    kept = RunReading.objects.filter(outcome=outcome, photo=photo, read_at=moment).first()
    since = list(outcome.history.filter(history_date__gte=moment).order_by("history_id")[:2])
    if kept is None or len(since) != 1:
        raise CannotUndo("This run was changed again since; nothing was undone.")
    _reading_back(kept, by)
    before = outcome.history.filter(history_id__lt=since[0].history_id).order_by("history_id").last()
    for name in RUN:
        setattr(outcome, name, getattr(before or Outcome(), name))
    _sign(outcome, by)
    outcome.save(update_fields=COLUMNS)


def _reading_back(kept: RunReading, by: User) -> None:
    """The reading as it was before its last change; gone where there was none."""
    _sign(kept, by)
    _, *earlier = kept.history.order_by("-history_id")[:2]
    if not earlier or earlier[0].history_type == "-":
        kept.delete()
        return
    for name in ("line", "run_mm", "plus_minus_mm", "scale_basis", "read_at", "read_by_id"):
        setattr(kept, name, getattr(earlier[0], name))
    kept.save()
