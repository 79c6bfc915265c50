"""Opening the studio to phones on its own network."""

import pytest
from django.test import Client

from studio.queries import preferences_now
from studio.serving import services

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def on_the_network(monkeypatch, settings):
    monkeypatch.setattr(services, "address_on_network", lambda: "192.168.1.20")
    settings.ALLOWED_HOSTS = ["127.0.0.1"]


def test_phones_open_this_machines_address_and_codes_carry_it():
    assert services.open_to_phones(8000) == ("http://192.168.1.20:8000", "http://192.168.1.20:8000")
    assert preferences_now().address == "http://192.168.1.20:8000"
    assert not preferences_now().address_is_loopback


def test_an_address_the_keeper_chose_stands(monkeypatch):
    services.open_to_phones(8000)
    monkeypatch.setattr(services, "address_on_network", lambda: "192.168.1.77")

    assert services.open_to_phones(8000) == ("http://192.168.1.77:8000", "http://192.168.1.20:8000")


def test_a_phone_is_answered_and_asked_to_sign_in(client: Client):
    there = {"Host": "192.168.1.20:8000"}
    before = client.get("/account/", headers=there)
    services.open_to_phones(8000)
    after = client.get("/account/", headers=there)

    assert before.status_code == 400
    assert after.headers["Location"] == "/sign-in/?next=/account/"


def test_a_name_that_is_not_ours_is_not_answered(client: Client):
    services.open_to_phones(8000)

    assert client.get("/sign-in/", headers={"Host": "elsewhere.example"}).status_code == 400
