"""Judge zones, one or a whole tile at once, and take a judgement back."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone

from firings.logbook.states import is_through_the_fire
from firings.models import CannotUndo, User
from firings.moments import moment_of
from tiles.models import Flaw, Outcome
from tiles.unloading.judgement import Judgement, in_order

SEEN = ("surface", "opacity", "run_mm", "runs_off", "pooling", "breaking", "gloss_gu", "verdict", "remark")
JUDGED = (*SEEN, "judged_by_id", "judged_at")
COLUMNS = (*SEEN, "judged_by", "judged_at")


class JudgedMeanwhile(Exception):
    """Somebody else judged these outcomes after the page was opened."""

    def __init__(self, outcomes: list[Outcome]) -> None:
        super().__init__("judged meanwhile")
        self.outcomes = outcomes


class NotFired(Exception):
    """There is nothing to judge before the fire; the words are fit for a message."""


def judgement_of(outcome: Outcome) -> Judgement:
    """A judgement as it stands on an outcome."""
    flaws = in_order([(flaw.kind, flaw.severity) for flaw in outcome.flaws_seen])
    return Judgement(**{name: getattr(outcome, name) for name in SEEN}, flaws=flaws)


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
    _write_down_what_stands(changed, by)
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
    before = _stood_before(judged, moment)
    for outcome in judged:
        columns, flaws = before[outcome.pk]
        for name in JUDGED:
            setattr(outcome, name, columns[name])
        _save(outcome, flaws, by)
    return len(judged)


def _stood_before(
    outcomes: list[Outcome], moment: datetime
) -> dict[int, tuple[Mapping[str, Any], tuple[tuple[str, str], ...]]]:
    """What stood on outcomes that were judged at a moment before that: columns and flaws, in two queries for all."""
    keys = [outcome.pk for outcome in outcomes]
    blank = Outcome()
    nothing = {name: getattr(blank, name) for name in JUDGED}
    columns: dict[int, Mapping[str, Any]] = dict.fromkeys(keys, nothing)
    since: dict[int, datetime] = {}
    versions = Outcome.history.filter(id__in=keys).order_by("history_id")
    for row in versions.values("id", "history_date", *JUDGED):
        if row["id"] in since:
            continue
        if row["judged_at"] == moment:
            since[row["id"]] = row["history_date"]
        else:
            columns[row["id"]] = row
    flaws = _flaws_before(since)
    return {key: (columns[key], in_order(list(flaws.get(key, {}).values()))) for key in keys}


def _flaws_before(since: Mapping[int, datetime]) -> dict[int, dict[int, tuple[str, str]]]:
    """For each outcome its flaws, by their keys, as they stood just before a moment."""
    found: dict[int, dict[int, tuple[str, str]]] = {key: {} for key in since}
    versions = Flaw.history.filter(outcome__in=list(since)).order_by("history_date", "history_id")
    for row in versions.values("id", "outcome_id", "kind", "severity", "history_type", "history_date"):
        if row["history_date"] >= since[row["outcome_id"]]:
            continue
        flaws = found[row["outcome_id"]]
        flaws.pop(row["id"], None)
        if row["history_type"] != "-":
            flaws[row["id"]] = (row["kind"], row["severity"])
    return found


def _write_down_what_stands(outcomes: list[Outcome], by: User) -> None:
    """Where judgements were laid in without a history, it begins with what stands: undo goes back to that."""
    judged = {outcome.pk: outcome for outcome in outcomes if outcome.judged_at}
    known = set(Outcome.history.filter(id__in=list(judged)).values_list("id", flat=True))
    bare = [outcome for key, outcome in judged.items() if key not in known]
    if not bare:
        return
    flaws = [flaw for outcome in bare for flaw in outcome.flaws.all()]
    written = set(Flaw.history.filter(id__in=[flaw.pk for flaw in flaws]).values_list("id", flat=True))
    _begin_history(bare, {outcome.pk: outcome.judged_at for outcome in bare}, by)
    missing = [flaw for flaw in flaws if flaw.pk not in written]
    _begin_history(missing, {flaw.pk: judged[flaw.outcome_id].judged_at for flaw in missing}, by)


def _begin_history(records: list[Any], moments: Mapping[int, datetime | None], by: User) -> None:
    if not records:
        return
    for record in records:
        record._history_date = moments[record.pk]
    type(records[0]).history.bulk_history_create(records, batch_size=400, default_user=by)
    for record in records:
        del record._history_date


def _sign(record: Any, by: User) -> None:
    """Let history say who, where no request tells it."""
    if by is not None:
        record._history_user = by
