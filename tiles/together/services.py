"""Change many results alike in one transaction, and take all of it back in one step."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction

from firings.models import CannotUndo, User
from firings.moments import moment_of
from tiles.models import Outcome
from tiles.together.change import Change, Outlook, outlook
from tiles.unloading.services import JudgedMeanwhile, judge_zones, judgement_of, undo_judgement

# Within this time of its moment a batch is written down.
WRITTEN_WITHIN = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Done:
    """A change that was made: the moment by which it is taken back, None where nothing changed, and what it came to."""

    moment: datetime | None
    came_to: Outlook


@dataclass(frozen=True, slots=True)
class Undone:
    """A change taken back: on how many results, and those that were judged again since and stay as they are."""

    count: int
    left: list[Outcome]


def outlook_on(outcomes: Iterable[Outcome], change: Change) -> Outlook:
    """What a change would come to on results that come with their flaws."""
    rows = list(outcomes)
    unjudged = {row.pk for row in rows if row.judged_at is None}
    return outlook({row.pk: judgement_of(row) for row in rows}, change, unjudged=unjudged)


@transaction.atomic
def change_together(seen: Mapping[int, datetime | None], change: Change, *, by: User) -> Done:
    """Change what was seen on these results alike, all or none, at one moment.

    `seen` says for each result when the judgement that was on the screen was made. Raises JudgedMeanwhile where any of
    them was judged since, and NotFired.
    """
    rows = Outcome.objects.select_for_update(of=("self",)).filter(pk__in=seen)
    standing = list(rows.select_related("tile", "zone", "judged_by").prefetch_related("flaws"))
    if late := [row for row in standing if row.judged_at != seen[row.pk]]:
        raise JudgedMeanwhile(late)
    came_to = outlook_on(standing, change)
    return Done(judge_zones(came_to.changed, seen, by=by), came_to)


@transaction.atomic
def undo_together(mark: int, *, by: User) -> Undone:
    """Take back what this person changed at that moment; what was judged again since is left and told.

    Raises CannotUndo where nothing stands so any more.
    """
    moment = moment_of(mark)
    written = Outcome.history.filter(
        history_date__range=(moment - WRITTEN_WITHIN, moment + WRITTEN_WITHIN),
        judged_at=moment,
        history_user=by,
    )
    keys = set(written.values_list("id", flat=True))
    mine = Outcome.objects.filter(pk__in=keys)
    standing = list(mine.select_for_update(of=("self",)).filter(judged_at=moment))
    if not standing:
        raise CannotUndo("All of it was changed again since; nothing was undone.")
    left = mine.exclude(pk__in=[row.pk for row in standing]).select_related("tile", "zone")
    return Undone(undo_judgement(standing, mark, by=by), list(left))
