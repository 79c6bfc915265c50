"""Results brought in from earlier years do not stand before today's work: they are told of in one quiet line."""

import re
from html import unescape

import pytest
from django.utils import timezone

from firings.vocabulary import FiringState
from studio.importing.services import take_in
from tests.factories import FiringFactory, PhotoFactory, PhotoFilingFactory, fired_outcomes
from tests.studio.waiting.test_home import HOME, fired_tile, words
from tiles.models import Outcome, Tile

pytestmark = pytest.mark.django_db

LAST_YEAR = """tile,body,glaze,coats,date,kiln,cone,surface
1,Dune,Harbour,3,2023-01-02,Oriel,6,satin
2,Dune,Harbour,2,2023-01-02,Oriel,6,
"""


@pytest.fixture
def last_year(keeper):
    take_in(LAST_YEAR.encode(), "results", by=keeper, only_try=False)
    return list(Tile.objects.order_by("number"))


def test_what_was_brought_in_asks_for_no_photo_and_no_judgement(recorder_client, last_year):
    page = words(recorder_client)

    assert "Photograph" not in page
    assert "Judge F-" not in page
    assert "Nothing waits" in page
    assert "2 tiles without a photo</a>," in page
    assert "1 result that says nothing of what was seen</a>." in page


def test_todays_tiles_are_counted_alone_and_the_list_behind_holds_them_alone(recorder_client, last_year):
    today = fired_tile(FiringFactory(fired=True, started_at=timezone.now()))
    page = recorder_client.get(HOME).content.decode()

    assert "Photograph 1 tile" in " ".join(page.split())
    job = recorder_client.get(_address(page, "Photograph 1 tile")).content.decode()
    assert today.label in job
    assert not any(tile.label in job for tile in last_year)


def test_a_tile_brought_in_and_fired_again_is_todays_work(recorder_client, last_year):
    again = last_year[0]
    firing = FiringFactory(fired=True, started_at=timezone.now(), state=FiringState.UNLOADED.value)
    fired_outcomes(again, firing)

    page = words(recorder_client)
    assert "Photograph 1 tile" in page
    assert f"Judge {firing.label}" in page
    assert "1 tile without a photo" in page


def test_the_quiet_line_leads_to_what_it_counts_and_goes_once_nothing_is_left(recorder_client, last_year):
    page = recorder_client.get(HOME).content.decode()
    bare = recorder_client.get(_address(page, "2 tiles without a photo")).content.decode()
    assert all(tile.label in bare for tile in last_year)

    for tile in last_year:
        PhotoFilingFactory(photo=PhotoFactory(), tile=tile)
    Outcome.objects.update(judged_at=timezone.now())
    assert "earlier years" not in words(recorder_client)


def test_a_viewer_is_not_told_of_what_is_bare(viewer_client, last_year):
    assert "earlier years" not in words(viewer_client)


def _address(page: str, said: str) -> str:
    """Where the link leads in which these words stand."""
    before = " ".join(page.split()).split(said)[0]
    return unescape(re.findall(r'<a [^>]*href="([^"]+)"', before)[-1])
