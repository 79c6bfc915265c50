"""Keeping the work going: who lives, what a dead worker left, what failed, what is due, what is old."""

from collections.abc import Sequence
from datetime import timedelta

from django.db import transaction
from django.db.models import Max, Q
from django.db.models.functions import Now
from django.utils import timezone
from django_tasks import TaskResultStatus
from django_tasks.base import Task
from django_tasks_db.models import DBTaskResult, get_date_max

from studio.models import Worker
from studio.work import queries
from studio.work.patience import DONE_KEPT, FAILED_KEPT, MOST_TRIES, wait_after

A_DAY = timedelta(days=1)
UNFINISHED = (TaskResultStatus.READY, TaskResultStatus.RUNNING)
DIED = "The worker died over it, each time it was tried."


def say_hello(name: str, place: str) -> None:
    """A worker begins."""
    Worker.objects.update_or_create(name=name, defaults={"place": place, "beat_at": Now()})


def say_alive(name: str, place: str) -> None:
    """A worker still lives. One that was taken for dead while its machine slept is counted again."""
    if not Worker.objects.filter(name=name).update(beat_at=Now()):
        say_hello(name, place)


def say_goodbye(name: str) -> None:
    """A worker ends, or somebody who knows says that it did; what it left undone is free for others."""
    Worker.objects.filter(name=name).delete()


def take_up_what_was_left(idle: str = "") -> int:
    """Give back work that is marked as running by a worker that is gone; how much that was.

    The mark alone says nothing: a process killed hard leaves it for ever. The last name on it does. What the worker
    named `idle` is said to be doing is left too: it lost the database while it wrote that it had finished.
    """
    queries.gone().delete()
    busy = set(Worker.objects.exclude(name=idle).values_list("name", flat=True))
    return sum(_give_back(work) for work in queries.running() if busy.isdisjoint(work.worker_ids[-1:]))


@transaction.atomic
def _give_back(work: DBTaskResult) -> int:
    """Let one be done again, unless another worker gave it back first; or give up on what kills its workers."""
    still = DBTaskResult.objects.filter(
        pk=work.pk, status=TaskResultStatus.RUNNING, started_at=work.started_at
    )
    if len(work.worker_ids) >= MOST_TRIES:
        return still.update(status=TaskResultStatus.FAILED, finished_at=timezone.now(), traceback=DIED)
    return still.update(status=TaskResultStatus.READY, run_after=get_date_max())


def try_again_later(work: DBTaskResult) -> None:
    """After a failure: put work back with a wait that grows, until it has been tried often enough."""
    wait = wait_after(len(work.worker_ids))
    if work.status != TaskResultStatus.FAILED or wait is None:
        return
    work.status, work.run_after, work.finished_at = TaskResultStatus.READY, timezone.now() + wait, None
    work.save(update_fields=["status", "run_after", "finished_at"])


def try_again_now(work: DBTaskResult) -> None:
    """A keeper's wish: as if it had never been tried."""
    work.status, work.run_after, work.worker_ids, work.finished_at = (
        TaskResultStatus.READY,
        get_date_max(),
        [],
        None,
    )
    work.save(update_fields=["status", "run_after", "worker_ids", "finished_at"])


def plan_what_is_due(tasks: Sequence[Task]) -> None:
    """See that each of these waits for its hour, once a day; at once where it has never been done.

    Two workers who plan at the same moment may plan one twice: it is done twice that day, and once from then on.
    """
    ours = DBTaskResult.objects.filter(task_path__in=[task.module_path for task in tasks])
    planned = set(ours.filter(status__in=UNFINISHED).values_list("task_path", flat=True))
    for task in tasks:
        if task.module_path not in planned:
            last = ours.filter(task_path=task.module_path).aggregate(last=Max("finished_at"))["last"]
            task.using(run_after=last + A_DAY if last else None).enqueue()


def prune() -> int:
    """Forget work that was done well days ago, and failures of months ago; how much that was."""
    now = timezone.now()
    done = Q(status=TaskResultStatus.SUCCESSFUL, finished_at__lt=now - DONE_KEPT)
    failed = Q(status=TaskResultStatus.FAILED, finished_at__lt=now - FAILED_KEPT)
    return DBTaskResult.objects.filter(done | failed).delete()[0]
