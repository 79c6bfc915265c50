"""The page that machines ask."""

import shutil

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import FileSystemStorage
from django.db import DatabaseError
from django.test import Client

from studio.models import Person

pytestmark = pytest.mark.django_db


def test_all_is_well_when_database_and_photo_store_answer(client: Client, photo_store):
    answer = client.get("/healthz")

    assert answer.status_code == 200
    assert answer.json() == {"database": "ok", "photos": "ok"}
    assert list(photo_store.iterdir()) == []


def test_a_photo_store_that_cannot_be_written_is_named(client: Client, photo_store):
    # A file where the folder should be: no user, not even root, can write a photo there.
    shutil.rmtree(photo_store, ignore_errors=True)
    photo_store.write_text("in the way")
    answer = client.get("/healthz")

    assert answer.status_code == 503
    assert answer.json() == {"database": "ok", "photos": "cannot be written and read"}


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
    assert answer.json() == {"database": "does not answer", "photos": "ok"}
    assert b"hunter2" not in answer.content


def test_health_is_asked_without_signing_in_and_never_cached(client: Client):
    answer = client.get("/healthz")

    assert "no-store" in answer["Cache-Control"]
    assert client.post("/healthz").status_code == 405
