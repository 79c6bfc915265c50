"""Judge zones, one or a whole tile at once, and take a judgement back."""

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone

from firings.logbook.states import is_through_the_fire
from firings.models import User
from tiles.models import Flaw, Outcome
from tiles.unloading.judgement import Judgement, in_order

SEEN = ("surface", "opacity", "run_mm", "runs_off", "pooling", "breaking", "gloss_gu", "verdict", "remark")
JUDGED = (*SEEN, "judged_by_id", "judged_at")
COLUMNS = (*SEEN, "judged_by", "judged_at")
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
TICK = timedelta(microseconds=1)


class JudgedMeanwhile(Exception):
    """Somebody else judged these outcomes after the page was opened."""

    def __init__(self, outcomes: list[Outcome]) -> None:
        super().__init__("judged meanwhile")
        self.outcomes = outcomes


class NotFired(Exception):
    """There is nothing to judge before the fire; the words are fit for a message."""


class CannotUndo(Exception):
    """The tile was judged again since; the words are fit for a message."""


def mark_of(moment: datetime | None) -> int:
    """A moment as a whole number of microseconds, for an address or a hidden field; 0 for none."""
    return (moment - EPOCH) // TICK if moment else 0


def moment_of(mark: int) -> datetime:
    """The moment of a mark."""
    return EPOCH + mark * TICK


def judgement_of(outcome: Outcome) -> Judgement:
    """A judgement as it stands on an outcome."""
    flaws = in_order([(flaw.kind, flaw.severity) for flaw in outcome.flaws.all()])
    return Judgement(**{name: getattr(outcome, name) for name in SEEN}, flaws=flaws)


def record_judgement(
    outcome: Outcome, judgement: Judgement, *, by: User, seen: datetime | None = None
) -> Outcome:
    """Keep what a person saw on one zone; what stood there before stays in history.

    `seen` is when the judgement that was on the screen was made. Raises JudgedMeanwhile and NotFired.
    """
    judge_zones({outcome.pk: judgement}, {outcome.pk: seen or outcome.judged_at}, by=by)
    outcome.refresh_from_db()
    return outcome


@transaction.atomic
def judge_zones(
    judgements: Mapping[int, Judgement], seen: Mapping[int, datetime | None], *, by: User
) -> datetime | None:
    """Keep the judgements of several zones, by their outcomes' keys, at one moment, all or none.

    Returns that moment, by which it can be undone, or None where everything stood so already. `seen` says for each
    outcome when the judgement that was on the screen was made. Raises JudgedMeanwhile and NotFired.
    """
    standing = Outcome.objects.select_for_update(of=("self",)).filter(pk__in=judgements)
    outcomes = list(standing.select_related("placement__firing", "judged_by").prefetch_related("flaws"))
    changed = [row for row in outcomes if row.judged_at is None or judgement_of(row) != judgements[row.pk]]
    _refuse_before_the_fire(changed)
    if late := [row for row in changed if row.judged_at != seen.get(row.pk)]:
        raise JudgedMeanwhile(late)
    now = timezone.now()
    for outcome in changed:
        _write(outcome, judgements[outcome.pk], now, by)
    return now if changed else None


def _refuse_before_the_fire(outcomes: list[Outcome]) -> None:
    for outcome in outcomes:
        firing = outcome.placement.firing
        if not is_through_the_fire(firing.state):
            raise NotFired(f"{firing.label} is still {firing.state}. Mark it fired, then judge.")


def _write(outcome: Outcome, judgement: Judgement, now: datetime, by: User) -> None:
    for name in SEEN:
        setattr(outcome, name, getattr(judgement, name))
    outcome.judged_by, outcome.judged_at = by, now
    _save(outcome, judgement.flaws, by)


def _save(outcome: Outcome, flaws: tuple[tuple[str, str], ...], by: User) -> None:
    """The outcome first, then its flaws: a version of an outcome runs from one save of it to the next."""
    _sign(outcome, by)
    outcome.save(update_fields=COLUMNS)
    wanted = dict(flaws)
    for flaw in outcome.flaws.all():
        severity = wanted.pop(flaw.kind, None)
        _keep_flaw(flaw, severity, by)
    for kind, severity in wanted.items():
        _keep_flaw(Flaw(outcome=outcome, kind=kind), severity, by)


def _keep_flaw(flaw: Flaw, severity: str | None, by: User) -> None:
    _sign(flaw, by)
    if severity is None:
        flaw.delete()
    elif flaw.pk is None or flaw.severity != severity:
        flaw.severity = severity
        flaw.save()


@transaction.atomic
def undo_judgement(outcomes: list[Outcome], mark: int, *, by: User) -> int:
    """Take back what was judged at that moment; what stood there before, flaws and all, stands again.

    Returns how many zones it was about. Raises CannotUndo where they were judged again since.
    """
    moment = moment_of(mark)
    standing = Outcome.objects.select_for_update(of=("self",)).filter(
        pk__in=[outcome.pk for outcome in outcomes], judged_at=moment
    )
    judged = list(standing.prefetch_related("flaws"))
    if not judged:
        raise CannotUndo("This judgement was changed again since; nothing was undone.")
    for outcome in judged:
        _step_back(outcome, moment, by)
    return len(judged)


def _step_back(outcome: Outcome, moment: datetime, by: User) -> None:
    since = outcome.history.filter(judged_at=moment).order_by("history_id").first()
    before = outcome.history.filter(history_id__lt=since.history_id).order_by("history_id").last()
    blank = Outcome()
    for name in JUDGED:
        setattr(outcome, name, getattr(before or blank, name))
    _save(outcome, _flaws_before(outcome, since.history_date), by)


def _flaws_before(outcome: Outcome, moment: datetime) -> tuple[tuple[str, str], ...]:
    rows: Any = Flaw.history.as_of(moment - TICK).filter(outcome=outcome)
    return in_order([(flaw.kind, flaw.severity) for flaw in rows])


def _sign(record: Any, by: User) -> None:
    """Let history say who, where no request tells it."""
    if by is not None:
        record._history_user = by
