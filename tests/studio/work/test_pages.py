"""A keeper sees who works, what waits, what failed and why, and has it tried again."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from django_tasks import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from studio.work.queries import work_jobs
from studio.work.services import say_hello
from tests.studio.work import errands

pytestmark = pytest.mark.django_db

PAGE = reverse("work:work")


def words(client) -> str:
    return " ".join(client.get(PAGE).content.decode().split())


def failed_work(reason: str = "OSError: [Errno 28] No space left on device") -> DBTaskResult:
    return DBTaskResult.objects.create(
        args_kwargs={"args": ["written"], "kwargs": {}},
        task_path=errands.note.module_path,
        backend_name="default",
        status=TaskResultStatus.FAILED,
        finished_at=timezone.now(),
        traceback=f"Traceback\n  File …\n{reason}\n",
        worker_ids=["one"] * 5,
    )


def test_a_quiet_studio_has_nothing_to_tell(keeper_client, keeper):
    assert "Nothing has failed." in words(keeper_client)
    assert "nobody just now" in words(keeper_client)
    assert list(work_jobs(keeper)) == []


def test_who_works_is_named(keeper_client):
    say_hello("willing", "process 12 on kiln")

    assert "process 12 on kiln" in words(keeper_client)


def test_what_failed_is_told_with_its_reason_and_tried_again(keeper_client):
    work = failed_work()

    assert "Something that goes well. (no. written)" in words(keeper_client)
    assert ">No space left on device<" in words(keeper_client)

    keeper_client.post(reverse("work:try_again", args=[work.pk]))
    work.refresh_from_db()
    assert (work.status, work.worker_ids) == (TaskResultStatus.READY, [])


def test_all_that_failed_is_tried_again(keeper_client):
    failed_work()
    failed_work()
    keeper_client.post(reverse("work:try_all_again"))

    assert DBTaskResult.objects.ready().count() == 2


def test_work_of_an_older_tilewright_is_told_too(keeper_client):
    failed_work()
    DBTaskResult.objects.update(task_path="tiles.gone.tasks.no_more")

    assert "Something this Tilewright no longer does." in words(keeper_client)


def test_a_keeper_is_told_when_nobody_works_and_others_are_not(keeper, recorder):
    work = failed_work()
    DBTaskResult.objects.create(
        args_kwargs={"args": [], "kwargs": {}}, task_path="a.b", backend_name="default"
    )
    DBTaskResult.objects.exclude(pk=work.pk).update(enqueued_at=timezone.now() - timedelta(hours=1))

    assert [job.what for job in work_jobs(keeper)] == ["No worker runs", "See what went wrong"]
    assert list(work_jobs(recorder)) == []
