"""Bring a logged curve in, choose which counts, take one off and put it back."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from firings.curves.choices import choice_from, confirmed, plain_choice
from firings.curves.originals import Originals
from firings.curves.outlook import Outlook, look
from firings.curves.queries import aware
from firings.curves.samples import packed
from firings.logbook.services import settle_alone, settle_reached_cone
from firings.models import CannotUndo, Curve, Firing, Kiln, User
from firings.notice import plain_of
from firings.offsets.queries import IN_TIME, curves_in_time, offset_for
from firings.offsets.services import save_heat, write_heat

NAME_LENGTH = 200


@dataclass(frozen=True, slots=True)
class LoggerFile:
    """A file that was received: its hash, by which it is found, and the name it came with."""

    sha256: str
    name: str


class FileIsGone(Exception):
    """The file is no longer here; the words say what to do."""


def originals() -> Originals:
    """Where this studio's logger files lie."""
    return Originals(settings.DATA_DIR / "curves")


def receive_file(chunks: Iterable[bytes]) -> str:
    """Store a file that arrived until somebody confirms how it is read, and forget what nobody confirmed."""
    store = originals()
    store.sweep()
    return store.receive(chunks)


def contents(sha256: str) -> bytes:
    """A received file's bytes.

    Raises
    ------
    FileIsGone : it was never received, or waited too long
    """
    place = originals().find(sha256)
    if place is None:
        raise FileIsGone("The file is no longer here. Choose it again.")
    return place.read_bytes()


@transaction.atomic
def keep_curve(firing_id: int, file: LoggerFile, outlook: Outlook, *, by: User) -> Curve:
    """Keep a curve as it was shown; it counts from now on, and outcomes follow.

    The file gets its lasting place before the row is written. A file that this firing has already is read anew in its
    place. How it was read is remembered for the kiln's next file.
    """
    firing: Firing = Firing.objects.select_for_update(of=("self",)).get(pk=firing_id)
    originals().keep(file.sha256)
    curve = firing.curves.defer("samples").filter(original_sha256=file.sha256).first() or Curve(firing=firing)
    _write(curve, file, outlook)
    curve.counts_since = timezone.now()
    curve._history_user = by  # type: ignore[attr-defined]
    curve.save()
    _remember(firing.kiln_id, outlook)
    settle_reached_cone(firing, by=by)
    return curve


def _write(curve: Curve, file: LoggerFile, outlook: Outlook) -> None:
    reading = outlook.reading
    curve.original_name, curve.original_sha256 = file.name[:NAME_LENGTH], file.sha256
    curve.started_at = aware(reading.started_at)
    curve.sensors = [
        {"name": one.name, "unit": str(one.scale.unit), "counts": one.name in outlook.counting}
        for one in reading.sensors
    ]
    curve.sample_count = len(reading.times_s)
    curve.samples = packed(reading.times_s, [one.temps_c for one in reading.sensors])
    curve.read_as = reading.read_as.plain() | {
        "choice": plain_choice(outlook.choice),
        "counts": outlook.counts,
        "names": list(outlook.names),
        "noticed": [plain_of(words) for words in outlook.reading.warnings],
    }
    write_heat(curve, curve.firing, offset_for(curve.firing))


def _remember(kiln_id: int, outlook: Outlook) -> None:
    """Keep how a kiln's logger is read; no change of the kiln itself that others should be told of."""
    remembered = {
        "columns": list(outlook.names),
        "choice": plain_choice(confirmed(outlook.reading, outlook.choice)),
        "counts": outlook.counts,
    }
    Kiln.everything.filter(pk=kiln_id).update(logger_reading=remembered)


@transaction.atomic
def let_count(curve: Curve, *, by: User) -> None:
    """Let this one of a firing's curves decide."""
    curve.counts_since = timezone.now()
    curve._history_user = by  # type: ignore[attr-defined]
    curve.save(update_fields=["counts_since"])
    settle_reached_cone(_locked(curve.firing_id), by=by)


def _locked(firing_id: int) -> Firing:
    firing: Firing = Firing.objects.select_for_update(of=("self",)).get(pk=firing_id)
    return firing


@transaction.atomic
def take_off(curve: Curve, *, by: User) -> int:
    """Take a curve off its firing; the logger's file stays. Returns the version in history to put back."""
    pk = curve.pk
    curve._history_user = by  # type: ignore[attr-defined]
    curve.delete()
    settle_reached_cone(_locked(curve.firing_id), by=by)
    return int(Curve.history.filter(id=pk).order_by("history_id").last().history_id)


def put_back(version: Any, *, by: User) -> Curve:
    """Put a curve back that was taken off, or read anew since: read again from its file as it was read then.

    Raises
    ------
    FileIsGone : the file is no longer here
    CannotUndo : the curve was changed again since it was read anew
    """
    file = LoggerFile(version.original_sha256, version.original_name)
    choice = choice_from(version.read_as.get("choice", {}))
    outlook = look(contents(file.sha256), choice, version.read_as.get("counts", ""))
    return _keep_again(version, file, outlook, by=by)


@transaction.atomic
def _keep_again(version: Any, file: LoggerFile, outlook: Outlook, *, by: User) -> Curve:
    firing = _locked(version.firing_id)
    standing = firing.curves.filter(original_sha256=file.sha256).first()
    if standing is not None:
        if version.history_type == "-":
            return standing
        if Curve.history.filter(id=standing.pk, history_id__gt=version.history_id).count() > 1:
            raise CannotUndo(f"The curve of {firing.label} was changed again since; nothing was undone.")
    curve = standing or Curve(firing=firing)
    _write(curve, file, outlook)
    curve.counts_since = version.counts_since
    curve._history_user = by  # type: ignore[attr-defined]
    curve.save()
    settle_reached_cone(firing, by=by)
    return curve


@dataclass(frozen=True, slots=True)
class Recomputed:
    """A firing whose curves were summed anew: how many, and the decimal cones that count before and after."""

    firing_number: int
    curves: int
    changed: int
    before: float | None
    after: float | None


def recompute(firing_ids: Sequence[int] | None = None) -> Iterator[Recomputed]:
    """Sum the curves of all firings anew, or of these and of what follows from them: kiln by kiln, oldest first.

    Each firing is a transaction of its own. Only figures that changed are written, and only then outcomes follow.
    """
    named = Curve.objects.all() if firing_ids is None else Curve.objects.filter(firing__in=firing_ids)
    for kiln_id in named.order_by("firing__kiln").values_list("firing__kiln", flat=True).distinct():
        firings = named.filter(pk__in=curves_in_time(kiln_id).values("pk"))
        in_order = firings.order_by(*IN_TIME).values_list("firing", flat=True)
        for firing_id in dict.fromkeys(in_order):
            yield _recompute(firing_id, alone=firing_ids is None)


@transaction.atomic
def _recompute(firing_id: int, *, alone: bool) -> Recomputed:
    """One firing's curves; where it is not `alone`, the later ones that learn from it follow at once."""
    firing = _locked(firing_id)
    before, offset = firing.reached_number, offset_for(firing)
    curves = list(firing.curves.all())
    changed = [curve for curve in curves if write_heat(curve, firing, offset)]
    for curve in changed:
        save_heat(curve)
    if changed:
        settle = settle_alone if alone else settle_reached_cone
        settle(firing)
    return Recomputed(firing.number, len(curves), len(changed), _plain(before), _plain(firing.reached_number))


def _plain(number: Decimal | None) -> float | None:
    return None if number is None else float(number)
