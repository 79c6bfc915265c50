"""Work is done once, taken up again when a worker dies, tried again when it fails, and forgotten when it is old."""

from datetime import timedelta

import pytest
from django.utils import timezone
from django_tasks import TaskResultStatus, task_backends
from django_tasks_db.models import DBTaskResult

from studio.management.commands.worker import StudioWorker
from studio.models import Worker
from studio.work import queries, services
from studio.work.patience import GONE_AFTER, MOST_TRIES, WAITS_S
from studio.work.tasks import EVERY_DAY
from tests.studio.work import errands


@pytest.fixture(autouse=True)
def nothing_done_yet(monkeypatch):
    errands.done.clear()
    errands.refusals.clear()
    monkeypatch.setattr("studio.management.commands.worker.EVERY_DAY", [])


def the_work() -> DBTaskResult:
    return DBTaskResult.objects.get()


def marked_running(*names: str) -> DBTaskResult:
    """Work as a worker leaves it that was killed in the middle."""
    errands.note.enqueue("left")
    work = the_work()
    for name in names:
        work.claim(name)
    return work


def let_time_pass(work: DBTaskResult) -> None:
    """The wait before the next try is over."""
    DBTaskResult.objects.filter(pk=work.pk).update(run_after=timezone.now())


def test_the_backends_of_tests_and_studio_differ(listed):
    assert type(task_backends["default"]).__name__ == "DatabaseBackend"


def test_what_is_written_down_is_done_once(work_all):
    errands.note.enqueue("looked at")
    work_all()
    work_all()

    assert errands.done == ["looked at"]
    assert the_work().status == TaskResultStatus.SUCCESSFUL
    assert not Worker.objects.exists(), "it said goodbye"


def test_work_of_a_worker_that_was_killed_is_taken_up(work_all):
    marked_running("killed")
    work_all()

    assert errands.done == ["left"]
    assert the_work().status == TaskResultStatus.SUCCESSFUL


def test_work_of_a_worker_that_lives_is_left_to_it(work_all):
    services.say_hello("busy", "process 1 on kiln")
    marked_running("busy")
    work_all()

    assert errands.done == []
    assert the_work().status == TaskResultStatus.RUNNING


@pytest.mark.parametrize(
    "way", [-1, 1], ids=["silent for too long", "of the future, before the clock was put right"]
)
def test_a_worker_is_known_to_be_gone(listed, way):
    services.say_hello("killed", "process 1 on kiln")
    Worker.objects.update(beat_at=timezone.now() + way * 2 * GONE_AFTER)
    marked_running("killed")

    assert services.take_up_what_was_left() == 1
    assert not Worker.objects.exists()


def test_a_worker_that_was_taken_for_dead_is_counted_again(listed):
    services.say_hello("asleep", "process 1 on kiln")
    Worker.objects.all().delete()
    services.say_alive("asleep", "process 1 on kiln")

    assert queries.alive().count() == 1


def test_a_worker_takes_up_what_it_could_not_report_itself(listed):
    services.say_hello("forgetful", "process 1 on kiln")
    marked_running("forgetful")

    assert services.take_up_what_was_left() == 0
    assert services.take_up_what_was_left(idle="forgetful") == 1


def test_work_that_kills_its_workers_is_given_up(listed):
    marked_running(*["killed"] * MOST_TRIES)
    services.take_up_what_was_left()

    assert the_work().status == TaskResultStatus.FAILED
    assert the_work().traceback == services.DIED


def test_what_failed_is_tried_again_after_a_wait(work_all):
    errands.refusals.append(OSError(28, "No space left on device"))
    errands.trip.enqueue("written")
    work_all()

    work = the_work()
    assert work.status == TaskResultStatus.READY
    assert work.run_after > timezone.now()
    assert "No space left" in work.traceback

    let_time_pass(work)
    work_all()
    assert errands.done == ["written"]


def test_the_waits_grow_and_end_and_a_keeper_may_try_again(work_all):
    errands.refusals.extend(OSError("the disk is away") for _ in range(MOST_TRIES))
    errands.trip.enqueue("written")
    waits = []
    for _ in range(MOST_TRIES):
        work_all()
        waits.append(round((the_work().run_after - timezone.now()).total_seconds(), -1))
        let_time_pass(the_work())

    assert waits[:-1] == [pytest.approx(wait, abs=10) for wait in WAITS_S]
    assert list(queries.failed()) == [the_work()]

    services.try_again_now(the_work())
    work_all()
    assert errands.done == ["written"]
    assert not queries.failed().exists()


def test_what_is_due_is_done_at_once_and_then_once_a_day(listed, monkeypatch):
    services.plan_what_is_due([errands.note])
    services.plan_what_is_due([errands.note])
    assert DBTaskResult.objects.count() == 1

    done_at = timezone.now() - timedelta(hours=1)
    DBTaskResult.objects.update(status=TaskResultStatus.SUCCESSFUL, finished_at=done_at)
    services.plan_what_is_due([errands.note])

    assert DBTaskResult.objects.get(status=TaskResultStatus.READY).run_after == done_at + timedelta(days=1)


def test_every_daily_piece_of_work_goes_well_in_an_empty_studio(work_all, monkeypatch):
    monkeypatch.setattr("studio.management.commands.worker.EVERY_DAY", EVERY_DAY)
    work_all()

    assert {work.task_path for work in DBTaskResult.objects.successful()} == {
        task.module_path for task in EVERY_DAY
    }
    assert not queries.failed().exists()


def test_old_work_is_forgotten_and_failures_are_kept_longer(listed):
    for status in (TaskResultStatus.SUCCESSFUL, TaskResultStatus.FAILED):
        for age_days in (1, 30, 90):
            errands.note.enqueue("old")
            finished_at = timezone.now() - timedelta(days=age_days)
            DBTaskResult.objects.filter(finished_at=None).update(status=status, finished_at=finished_at)

    assert services.prune() == 3
    assert DBTaskResult.objects.successful().count() == 1
    assert DBTaskResult.objects.failed().count() == 2


def test_two_workers_do_not_do_the_same_work(listed):
    errands.note.enqueue("once")
    one, other = StudioWorker("one", batch=True), StudioWorker("other", batch=True)

    assert one.claim() is not None
    assert other.claim() is None


def test_work_that_no_longer_exists_fails_and_is_shown(work_all):
    errands.note.enqueue("gone")
    DBTaskResult.objects.update(
        task_path="tests.studio.work.errands.no_more", worker_ids=["before"] * MOST_TRIES
    )
    work_all()

    assert "no_more" in queries.failed().get().traceback
