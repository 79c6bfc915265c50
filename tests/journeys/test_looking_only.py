"""Who may only look is led to nothing that is not theirs, in a studio where nothing was done yet either."""

import pytest
from django.test import Client

from tests.factories import FiringFactory, TileFactory
from tests.journeys.walking import pages_reached

pytestmark = pytest.mark.django_db

BARE, UNLOADED = "/tiles/2001-4/", "/firings/3002/unload/"


@pytest.fixture
def barely_begun() -> None:
    """One tile without a glaze, one firing without a tile: each page says what could come next."""
    TileFactory(number=2001)
    FiringFactory(number=3002, fired=True)


def refused(client: Client) -> list[str]:
    return [address for address, wrong in pages_reached(client).items() if wrong]


def test_a_viewer_of_an_empty_studio_is_led_to_no_page_that_refuses_them(viewer_client):
    assert refused(viewer_client) == []


def test_a_viewer_of_a_studio_just_begun_is_led_to_no_page_that_refuses_them(viewer_client, barely_begun):
    assert refused(viewer_client) == []


@pytest.mark.parametrize(("page", "offer"), [(BARE, "Glaze this tile"), (UNLOADED, "Load it")])
def test_what_comes_next_is_offered_to_those_who_may(
    viewer_client, recorder_client, barely_begun, page: str, offer: str
):
    assert offer in recorder_client.get(page).content.decode()
    assert offer not in viewer_client.get(page).content.decode()
