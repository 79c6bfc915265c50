"""Who works, what waits, what failed."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta

from django.core.exceptions import SuspiciousOperation
from django.db.models import Case, Count, DateTimeField, ExpressionWrapper, F, Min, QuerySet, When
from django.db.models.functions import Now
from django.urls import reverse
from django.utils import timezone
from django_tasks import TaskResultStatus
from django_tasks_db.models import DBTaskResult, get_date_max

from studio.models import Person, Worker
from studio.serving.services import prompt_here
from studio.waiting.jobs import Job
from studio.work.patience import GONE_AFTER, WORTH_A_WORD


def moment(away: timedelta) -> ExpressionWrapper:
    """A moment by the database's clock, the only one that workers on several machines share."""
    return ExpressionWrapper(Now() + away, output_field=DateTimeField())


def alive() -> QuerySet[Worker]:
    """Workers that said so just now. One of the future was written before the clock was put right."""
    return Worker.objects.filter(beat_at__gt=moment(-GONE_AFTER), beat_at__lt=moment(GONE_AFTER))


def gone() -> QuerySet[Worker]:
    """Workers that did not say goodbye and have been silent for too long."""
    return Worker.objects.exclude(pk__in=alive().values("pk"))


def failed() -> QuerySet[DBTaskResult]:
    """Work that was tried often enough, the newest first."""
    return DBTaskResult.objects.failed().order_by("-finished_at")


def waiting() -> QuerySet[DBTaskResult]:
    """Work that somebody should do now, the one waiting longest first."""
    return DBTaskResult.objects.ready().order_by("enqueued_at")


def running() -> QuerySet[DBTaskResult]:
    """Work under way."""
    return DBTaskResult.objects.filter(status=TaskResultStatus.RUNNING).order_by("started_at")


# "builtins.OSError: [Errno 28] " before "No space left on device".
NAMES_OF_TROUBLE = re.compile(r"^[\w.]+: (\[Errno \d+\] )?")


@dataclass(frozen=True, slots=True)
class Failure:
    """A piece of work that failed too often: what it was to do, and why it could not."""

    work: DBTaskResult
    what: str
    why: str


def failures(most: int = 50) -> list[Failure]:
    """What failed last, in words."""
    return [Failure(work, _what(work), why(work)) for work in failed()[:most]]


def _what(work: DBTaskResult) -> str:
    """What it was to do: the first line of what is written at its task, and which record it was for."""
    try:
        words = (work.task.func.__doc__ or work.task_name).partition("\n")[0]
    except (ImportError, SuspiciousOperation):
        words = "Something this Tilewright no longer does."
    for_which = ", ".join(str(given) for given in work.args_kwargs["args"])
    return f"{words} (no. {for_which})" if for_which else words


def why(work: DBTaskResult) -> str:
    """The last line of what went wrong, which is the reason, without the names that programs give it."""
    last = (work.traceback.strip().splitlines() or ["No reason is known."])[-1]
    return NAMES_OF_TROUBLE.sub("", last) or last


def work_jobs(person: Person) -> Iterator[Job]:
    """What a keeper should know of on the home page: nobody works, or something failed too often."""
    if not person.has_perm("studio.change_worker"):
        return
    state, page = work_state(), reverse("work:work")
    if state.nobody_works:
        why = f"nothing looks at new photos: start the studio anew, or run {prompt_here().manage('worker')}"
        yield Job("warning", "No worker runs", why, state.waiting, page)
    if state.failed:
        yield Job("warning", "See what went wrong", "work in the background failed", state.failed, page)


@dataclass(frozen=True, slots=True)
class WorkState:
    """How the work stands."""

    workers: int
    waiting: int
    failed: int
    has_waited: timedelta

    @property
    def nobody_works(self) -> bool:
        """Whether work waits and nobody is there to do it."""
        return not self.workers and self.has_waited > WORTH_A_WORD

    @property
    def words(self) -> str:
        """One line for a page machines read."""
        return f"no worker runs, and work waits: {self.waiting}" if self.nobody_works else "ok"


def work_state() -> WorkState:
    """How the work stands, in three queries."""
    since = Case(When(run_after=get_date_max(), then=F("enqueued_at")), default=F("run_after"))
    found = waiting().order_by().aggregate(count=Count("pk"), first=Min(since))
    has_waited = timezone.now() - found["first"] if found["first"] else timedelta()
    return WorkState(alive().count(), found["count"], failed().count(), has_waited)
