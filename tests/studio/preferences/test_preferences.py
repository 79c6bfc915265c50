"""How this studio likes things written."""

import pytest
from django.test import Client

from firings.preferences import Preferences
from studio.models import StudioPreferences
from studio.preferences.services import keep_address_if_none
from studio.queries import preferences_now

pytestmark = pytest.mark.django_db
TYPED = {
    "studio_name": "Kiln Lane",
    "address": "http://kiln.local:8000/",
    "temperature_unit": "F",
    "length_unit": "in",
    "paper": "Letter",
}


def test_a_studio_that_chose_nothing_has_the_defaults(settings):
    settings.STUDIO_ADDRESS = "http://127.0.0.1:8123"

    assert preferences_now() == Preferences(address="http://127.0.0.1:8123")


def test_a_keeper_chooses_and_every_page_reads_it(keeper_client: Client):
    answer = keeper_client.post("/preferences/", TYPED)

    assert answer.status_code == 302
    assert preferences_now() == Preferences("Kiln Lane", "http://kiln.local:8000", "F", "in", "Letter")
    assert "Kiln Lane" in keeper_client.get("/account/").content.decode()


def test_what_changed_and_by_whom_is_kept(keeper_client: Client, keeper):
    keeper_client.post("/preferences/", TYPED)
    keeper_client.post("/preferences/", {**TYPED, "studio_name": "Kiln Road"})
    newest, before = StudioPreferences.history.all()

    assert (newest.studio_name, before.studio_name) == ("Kiln Road", "Kiln Lane")
    assert newest.history_user == keeper


@pytest.mark.parametrize(
    "address",
    [
        "http://kiln.local/logbook",
        "ftp://kiln.local",
        "not an address",
        "http://kiln.local:8000/?a=1",
        "http://",
        "http://kiln:99999",
    ],
)
def test_an_address_that_no_phone_opens_is_refused_and_nothing_typed_is_lost(keeper_client: Client, address):
    answer = keeper_client.post("/preferences/", {**TYPED, "address": address})

    assert answer.status_code == 422
    assert 'value="Kiln Lane"' in answer.content.decode()
    assert not StudioPreferences.objects.exists()


def test_a_loopback_address_is_warned_of(keeper_client: Client):
    warned = keeper_client.get("/preferences/").content.decode()
    keeper_client.post("/preferences/", TYPED)

    assert "open on no phone" in warned
    assert "open on no phone" not in keeper_client.get("/preferences/").content.decode()


def test_an_address_once_chosen_stands():
    assert keep_address_if_none("http://192.168.1.20:8000") == "http://192.168.1.20:8000"
    assert keep_address_if_none("http://192.168.1.99:8000") == "http://192.168.1.20:8000"
    assert preferences_now().address == "http://192.168.1.20:8000"
