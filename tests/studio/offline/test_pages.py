"""The script that keeps pages: open to all, since it must be there after signing out too."""

from http import HTTPStatus

import pytest
from django.urls import reverse

from tests.factories import FiringFactory, PlacementFactory

pytestmark = pytest.mark.django_db

KEEPER = reverse("offline:keeper")


def test_the_keeper_is_a_script_from_the_root_that_no_browser_keeps(client):
    answer = client.get(KEEPER)

    assert answer.status_code == HTTPStatus.OK
    assert answer.headers["Content-Type"].startswith("text/javascript")
    assert "no-cache" in answer.headers["Cache-Control"]
    assert KEEPER.count("/") == 1


def test_the_keeper_knows_where_one_signs_out(client):
    assert f'"{reverse("people:sign_out")}"' in client.get(KEEPER).content.decode()


def test_the_strict_policy_lets_a_browser_run_it(recorder_client):
    policy = recorder_client.get("/").headers["Content-Security-Policy"]

    assert "worker-src 'self'" in policy
    assert "unsafe" not in policy


def test_every_page_says_for_whom_it_is(recorder_client, recorder, client):
    assert f'data-person="{recorder.pk}"' in recorder_client.get("/").content.decode()
    assert 'data-person=""' in client.get(reverse("people:sign_in")).content.decode()


def test_the_unload_page_is_one_to_keep(recorder_client):
    firing = FiringFactory(fired=True)
    PlacementFactory(firing=firing)
    address = reverse("tiles:unloading:firing", args=[firing.number])

    words = " ".join(recorder_client.get(f"{address}?at=1042-9").content.decode().split())

    assert f'<meta name="keep-offline" content="{address}" data-meanwhile="What you photograph stays' in words
    assert "keep-offline" not in recorder_client.get("/").content.decode()
