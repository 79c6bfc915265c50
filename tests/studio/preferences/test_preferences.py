"""How this studio likes things written."""

import re

import pytest
from django.test import Client

from firings.preferences import Preferences
from studio.models import StudioPreferences
from studio.preferences.address import base_address
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


@pytest.mark.parametrize(
    ("written", "host", "warned"),
    [
        ("192.168.1.20", "192.168.1.20:8000", True),
        ("192.168.1.20:8000", "192.168.1.20:8000", False),
        ("192.168.1.20", "192.168.1.20", False),
        ("https://kiln.example", "localhost:8000", False),
    ],
)
def test_an_address_without_the_figure_the_studio_answers_at_is_warned_of(
    keeper_client: Client, settings, written, host, warned
):
    """Every code printed with it would lead nowhere, and nobody scans one before the board hangs."""
    settings.ALLOWED_HOSTS = ["*"]
    StudioPreferences.objects.create(pk=StudioPreferences.ROW, address=base_address(written))

    page = keeper_client.get("/preferences/", headers={"host": host}).content.decode()

    assert ("The studio answers here at http://192.168.1.20:8000." in page) is warned


def test_an_address_once_chosen_stands():
    assert keep_address_if_none("http://192.168.1.20:8000") == "http://192.168.1.20:8000"
    assert keep_address_if_none("http://192.168.1.99:8000") == "http://192.168.1.20:8000"
    assert preferences_now().address == "http://192.168.1.20:8000"


def undo(client: Client, page: str) -> str:
    """Press the Undo of the newest message on a page; the messages of the page that follows."""
    address = re.findall(r'action="(/[^"]+/undo/[^"]+)"', page)[-1]
    return client.post(address, follow=True).content.decode()


def test_a_change_is_undone_from_its_message_and_so_is_the_undoing(keeper_client: Client):
    keeper_client.post("/preferences/", TYPED)
    changed = keeper_client.post("/preferences/", {**TYPED, "temperature_unit": "C"}, follow=True)
    undone = undo(keeper_client, changed.content.decode())
    assert "preferences stand as they did" in undone
    assert preferences_now().temperature_unit == "F"

    undo(keeper_client, undone)

    assert preferences_now() == Preferences("Kiln Lane", "http://kiln.local:8000", "C", "in", "Letter")


def test_undoing_the_first_change_leaves_a_new_studio(keeper_client: Client, settings):
    settings.STUDIO_ADDRESS = "http://127.0.0.1:8123"
    undo(keeper_client, keeper_client.post("/preferences/", TYPED, follow=True).content.decode())

    assert preferences_now() == Preferences(address="http://127.0.0.1:8123")


def test_an_old_undo_does_not_take_back_what_was_changed_since(keeper_client: Client):
    first = keeper_client.post("/preferences/", TYPED, follow=True).content.decode()
    keeper_client.post("/preferences/", {**TYPED, "studio_name": "Kiln Road"})
    said = undo(keeper_client, first)

    assert "changed again since" in said
    assert preferences_now().studio_name == "Kiln Road"
