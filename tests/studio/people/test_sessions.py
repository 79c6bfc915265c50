"""Who is signed in stays so until the session runs out or is ended, and nothing a browser sends opens another's."""

from datetime import timedelta

import pytest
from django.conf import settings
from django.contrib.sessions.backends.db import SessionStore as OfTheFramework
from django.contrib.sessions.models import Session
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from studio.models import Person
from studio.people.sessions.queries import SessionStore

pytestmark = pytest.mark.django_db


def key_of(client: Client) -> str:
    return client.cookies[settings.SESSION_COOKIE_NAME].value


def is_signed_in(client: Client) -> bool:
    return client.get("/").status_code == 200


def test_a_session_reads_as_the_framework_reads_it_by_one_question(recorder_client: Client):
    key = key_of(recorder_client)
    assert OfTheFramework(key).load() == SessionStore(key).load() != {}

    with CaptureQueriesContext(connection) as asked:
        SessionStore(key).load()

    assert len(asked) == 1


def test_a_session_run_out_is_none(recorder_client: Client):
    assert is_signed_in(recorder_client)

    Session.objects.update(expire_date=timezone.now() - timedelta(seconds=1))

    assert not is_signed_in(recorder_client)


def test_a_session_that_was_deleted_is_none(recorder_client: Client):
    Session.objects.all().delete()

    assert not is_signed_in(recorder_client)


@pytest.mark.parametrize(
    "key",
    [
        "",
        "nosuchkeynosuchkeynosuchkey",
        "%",
        "' OR 1=1 --",
        "\x00\x00\x00\x00\x00\x00\x00\x00",
        "é" * 32,
        "\x7f" * 9,
    ],
)
def test_what_is_no_key_opens_nothing(recorder_client: Client, key: str):
    assert Session.objects.exists()

    assert SessionStore(key).load() == {}


def test_a_session_opened_by_the_framework_itself_stays_open(recorder: Person, client: Client):
    client.force_login(recorder, backend="django.contrib.auth.backends.ModelBackend")

    assert is_signed_in(client)
