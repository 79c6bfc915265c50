"""The pages that machines ask for."""

import shutil
from datetime import timedelta

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import FileSystemStorage
from django.db import DatabaseError
from django.test import Client
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from studio.models import Person
from studio.work.services import say_hello

pytestmark = pytest.mark.django_db


def test_all_is_well_when_database_and_photo_store_answer(client: Client, photo_store):
    answer = client.get("/healthz")

    assert answer.status_code == 200
    assert answer.json() == {"database": "ok", "photos": "ok", "work": "ok"}
    assert list(photo_store.iterdir()) == []


def test_a_photo_store_that_cannot_be_written_is_named(client: Client, photo_store):
    # A file where the folder should be: no user, not even root, can write a photo there.
    shutil.rmtree(photo_store, ignore_errors=True)
    photo_store.write_text("in the way")
    answer = client.get("/healthz")

    assert answer.status_code == 503
    assert answer.json() == {"database": "ok", "photos": "cannot be written and read", "work": "ok"}


def test_a_photo_store_that_gives_back_something_else_is_named(client: Client, monkeypatch):
    monkeypatch.setattr(FileSystemStorage, "open", lambda self, name: ContentFile(b"spoilt"))
    answer = client.get("/healthz")

    assert answer.status_code == 503
    assert answer.json()["photos"] != "ok"


def test_a_database_that_does_not_answer_is_named_and_its_secrets_are_not(client: Client, monkeypatch):
    def refuse(self):
        raise DatabaseError("password=hunter2 host=10.0.0.9")

    monkeypatch.setattr(type(Person.objects.all()), "exists", refuse)
    answer = client.get("/healthz")

    assert answer.status_code == 503
    assert answer.json() == {"database": "does not answer", "photos": "ok", "work": "ok"}
    assert b"hunter2" not in answer.content


def test_work_that_waits_without_a_worker_is_told_and_pages_are_served_all_the_same(client: Client):
    an_hour_ago = timezone.now() - timedelta(hours=1)
    DBTaskResult.objects.create(
        args_kwargs={"args": [], "kwargs": {}}, task_path="a.task", backend_name="default"
    )
    DBTaskResult.objects.update(enqueued_at=an_hour_ago)
    alone = client.get("/healthz")
    say_hello("willing", "process 1 on kiln")
    tended = client.get("/healthz")

    assert (alone.status_code, alone.json()["work"]) == (200, "no worker runs, and work waits: 1")
    assert (tended.status_code, tended.json()["work"]) == (200, "ok")


def test_health_is_asked_without_signing_in_and_never_cached(client: Client):
    answer = client.get("/healthz")

    assert "no-store" in answer["Cache-Control"]
    assert client.post("/healthz").status_code == 405


def test_a_browser_that_asks_for_an_icon_by_itself_is_led_to_ours(client: Client):
    answer = client.get("/favicon.ico")

    assert answer.status_code == 302
    assert answer.url.endswith(".svg")
    assert "mark" in answer.url
    assert "max-age=86400" in answer["Cache-Control"]
    assert len(answer.content) == 0
