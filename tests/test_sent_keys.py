"""What is no record's key finds nothing, however long it is; no page breaks over it."""

import pytest
from django.urls import reverse

from firings.cones import series
from tests.factories import (
    BoardFactory,
    FiringFactory,
    GlazeFactory,
    SeriesFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)

pytestmark = pytest.mark.django_db

CONE_6 = series.order_of("6")
# One digit more than a database can hold, and more than may be read as a number at all.
TOO_LONG = ["9" * 19, "9" * 5000]


@pytest.mark.parametrize("key", TOO_LONG)
@pytest.mark.parametrize(
    ("page", "parameter"),
    [
        ("firings:programmes:new", "from"),
        ("firings:programmes:compare", "a"),
        ("tiles:catalogue:new_glaze", "like"),
        ("tiles:planner:new", "series"),
        ("tiles:recording:new", "form"),
        ("tiles:recording:new", "body"),
    ],
)
def test_a_page_begun_like_a_record_that_cannot_be_begins_empty(recorder_client, page, parameter, key):
    assert recorder_client.get(reverse(page), {parameter: key}).status_code == 200


@pytest.mark.parametrize("key", TOO_LONG)
def test_a_tile_recorded_again_with_a_body_that_cannot_be_keeps_its_own(recorder_client, key):
    tile = TileFactory()
    answer = recorder_client.get(reverse("tiles:recording:again", args=[tile.label]), {"body": key})

    assert str(tile.body) in answer.content.decode()


@pytest.mark.parametrize("key", TOO_LONG)
def test_a_version_is_not_put_back_over_a_stamp_that_cannot_be(recorder_client, key):
    glaze = GlazeFactory(name="Harbour")
    first = glaze.standing_version
    glaze.name = "Harbour Blue"
    glaze.save()
    address = reverse("history:restore", args=["tiles", "glaze", glaze.pk, first])
    answer = recorder_client.post(address, {"stamp": key}, follow=True)

    assert "has been changed again since" in answer.content.decode()
    glaze.refresh_from_db()
    assert glaze.name == "Harbour Blue"


@pytest.mark.parametrize("key", TOO_LONG)
def test_a_board_is_not_laid_out_over_a_stamp_that_cannot_be(recorder_client, key):
    board, tile = BoardFactory(), TileFactory(series=SeriesFactory())
    firing = FiringFactory(fired=True, target_order=CONE_6, reached_order=CONE_6)
    fired_outcomes(glaze_tile(tile, (GlazeFactory(), {"band 1": 2})), firing)
    rule = {"across": "cone", "down": "body", "series": tile.series.pk}
    answer = recorder_client.post(
        reverse("tiles:boards:lay_out", args=[board.pk]), {**rule, "stamp": key}, follow=True
    )

    assert "Somebody changed this board meanwhile" in answer.content.decode()
    assert not board.slots.exists()
