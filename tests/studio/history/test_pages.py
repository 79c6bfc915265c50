"""The history of a record, and putting it back, in the browser's words."""

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import GlazeFactory, SavedSearchFactory, TileFactory, glaze_tile

pytestmark = pytest.mark.django_db


@pytest.fixture
def tile():
    tile = glaze_tile(TileFactory(note="as made"), (GlazeFactory(name="Harbour"), {"band 1": 2}))
    tile.note = "thin on the left"
    tile.save()
    return tile


def address(name: str, record, *more: int) -> str:
    meta = record._meta
    return reverse(f"history:{name}", args=[meta.app_label, meta.model_name, record.pk, *more])


def test_the_history_says_what_changed(viewer_client: Client, tile):
    page = viewer_client.get(address("changes", tile)).content.decode()

    assert "as made" in page
    assert "thin on the left" in page
    assert "Harbour on band 1" in page


def test_a_viewer_reads_but_is_offered_no_way_back(viewer_client: Client, tile):
    assert "Put it back" not in viewer_client.get(address("changes", tile)).content.decode()


def test_the_tile_page_takes_it_as_a_fragment(viewer_client: Client, tile):
    answer = viewer_client.get(address("changes", tile), headers={"HX-Request": "true"})

    assert "<html" not in answer.content.decode()


def test_putting_back_says_so_and_can_be_undone_from_the_message(recorder_client: Client, tile):
    first = tile.history.last().history_id
    answer = recorder_client.post(address("restore", tile, first), follow=True)
    tile.refresh_from_db()
    (message,) = answer.context["messages"]

    assert answer.redirect_chain[-1][0] == tile.get_absolute_url()
    assert tile.note == "as made"
    assert message.extra_tags.startswith("/history/tiles/tile/")

    recorder_client.post(message.extra_tags)
    tile.refresh_from_db()
    assert tile.note == "thin on the left"


def test_an_undo_of_what_was_changed_again_is_refused_in_words(recorder_client: Client, tile):
    first = tile.history.last().history_id
    answer = recorder_client.post(f"{address('restore', tile, first)}?stamp=1", follow=True)
    tile.refresh_from_db()

    assert "changed again since" in answer.content.decode()
    assert tile.note == "thin on the left"


def test_a_viewer_puts_nothing_back(viewer_client: Client, tile):
    answer = viewer_client.post(address("restore", tile, tile.standing_version))

    assert answer.status_code == 403


def test_a_kind_of_record_there_is_none_of_is_not_found(keeper_client: Client):
    assert keeper_client.get("/history/tiles/teapot/1/").status_code == 404
    assert keeper_client.get("/history/tiles/layer/1/").status_code == 404


def test_a_page_elsewhere_is_no_way_on(recorder_client: Client, tile):
    first = tile.history.last().history_id
    answer = recorder_client.post(address("restore", tile, first), {"next": "https://example.org/"})

    assert answer.headers["Location"] == tile.get_absolute_url()


def test_a_record_without_a_page_of_its_own_goes_on_to_its_history(recorder_client: Client, recorder):
    search = SavedSearchFactory(name="Cone 6 whites", owner=recorder)
    search.name = "Whites"
    search.save()
    answer = recorder_client.post(address("restore", search, search.history.last().history_id))

    assert answer.headers["Location"] == address("changes", search)
