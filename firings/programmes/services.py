"""Keep a programme: one that was fired stays as it is, and an edit makes its next version."""

from decimal import Decimal

from django.db import transaction
from django.db.models import Max
from simple_history.utils import bulk_create_with_history

from firings.models import Programme, Segment, StaleEdit, User
from firings.programmes.facts import ProgrammeFacts
from firings.programmes.queries import latest_of, was_fired
from firings.programmes.segments import Segment as PlainSegment


@transaction.atomic
def add_programme(facts: ProgrammeFacts, *, by: User) -> Programme:
    """A new programme with its segments."""
    programme = Programme(name=facts.name, note=facts.note, created_by=by)
    _keep(programme, facts, by)
    return programme


@transaction.atomic
def keep_programme(programme: Programme, stamp: int, facts: ProgrammeFacts, *, by: User) -> Programme:
    """Keep an edit of a programme: in place while no firing has used it, else as its next version.

    Versions share one count of stamps, so an edit begun on a version that was followed meanwhile is stale.
    Raises StaleEdit with the version that stands now.
    """
    latest: Programme = Programme.objects.claim(latest_of(programme).pk, stamp)
    newest = latest_of(latest)
    if newest.pk != latest.pk:
        raise StaleEdit(newest)
    if was_fired(latest):
        return _next_version(latest, facts, by)
    latest.name, latest.note = facts.name, facts.note
    _keep(latest, facts, by)
    return latest


def _next_version(before: Programme, facts: ProgrammeFacts, by: User) -> Programme:
    highest = Programme.everything.filter(name=facts.name).aggregate(highest=Max("version"))["highest"] or 0
    following = Programme(
        name=facts.name,
        note=facts.note,
        version=max(before.version, highest) + 1,
        supersedes=before,
        stamp=before.stamp + 1,
        created_by=by,
    )
    _keep(following, facts, by)
    return following


def _keep(programme: Programme, facts: ProgrammeFacts, by: User) -> None:
    programme._history_user = by  # type: ignore[attr-defined]
    programme.save()
    for segment in programme.segments.all():
        segment._history_user = by  # type: ignore[attr-defined]
        segment.delete()
    segments = [_segment(programme, position, one) for position, one in enumerate(facts.segments, start=1)]
    bulk_create_with_history(segments, Segment, default_user=by)


def _segment(programme: Programme, position: int, typed: PlainSegment) -> Segment:
    return Segment(
        programme=programme,
        position=position,
        rate_c_per_h=None if typed.rate_c_per_h is None else Decimal(f"{typed.rate_c_per_h:.1f}"),
        target_c=Decimal(f"{typed.target_c:.1f}"),
        hold_min=round(typed.hold_min),
    )
