"""Results asked for by how thick the glaze was measured: all layers that were on in that firing, none guessed."""

from decimal import Decimal

import pytest

from tests.factories import FiringFactory, GlazeFactory, TileFactory, fired_outcomes, glaze_tile
from tiles.columns.queries import read_now
from tiles.models import Coverage
from tiles.search.counting.queries import facet_counts
from tiles.search.queries import results, search

pytestmark = pytest.mark.django_db


def found(query):
    """The results' zones, asked of the database and of the columns in memory alike."""
    by_database = sorted(results(query).values_list("zone__name", flat=True))
    asked = search(query)
    asked.held = read_now()
    assert facet_counts(asked).total == len(by_database)
    return by_database


@pytest.fixture
def measured():
    """Band 1 with two layers of 0.3 mm, band 2 with one of 0.5 mm under one nobody measured."""
    tile = TileFactory()
    lower, upper = GlazeFactory(), GlazeFactory()
    glaze_tile(tile, (lower, {"band 1": 1, "band 2": 1}), (upper, {"band 1": 2, "band 2": 2}))
    Coverage.objects.filter(zone__name="band 1").update(thickness_mm=Decimal("0.3"))
    Coverage.objects.filter(zone__name="band 2", layer__glaze=lower).update(thickness_mm=Decimal("0.5"))
    fired_outcomes(tile, FiringFactory(fired=True))
    return tile


def test_layers_count_together(measured):
    assert found("thickness=0.5-0.7") == ["band 1"]
    assert found("thickness=0.2-0.4") == []


def test_a_zone_with_a_layer_nobody_measured_is_not_guessed_at(measured):
    assert found("thickness=0–50") == ["band 1"]


def test_a_layer_put_on_after_the_firing_does_not_count_for_it(measured):
    glaze_tile(measured, (GlazeFactory(), {"band 1": 1}), after_firings=1)
    Coverage.objects.filter(layer__after_firings=1).update(thickness_mm=Decimal(3))

    assert found("thickness=0.5-0.7") == ["band 1"]


def test_what_is_no_range_is_said_and_left_out(viewer_client, measured):
    page = viewer_client.get("/results/?thickness=thick")

    assert page.status_code == 422
    assert "Thickness of the glaze" in page.content.decode()


def test_the_filter_stands_in_words_and_can_be_lifted(viewer_client, measured):
    assert "glaze 0.5–0.7 mm thick" in viewer_client.get("/results/?thickness=0.5-0.7").content.decode()


def test_each_choice_says_how_many_it_would_give(measured):
    for held in (None, read_now()):
        asked = search("")
        asked.held = held

        assert facet_counts(asked).by_group["thickness"] == {"0.5–1": 1}
