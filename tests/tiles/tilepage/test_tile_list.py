"""The list of tiles: newest first, by state, body, series and words."""

import re

import pytest
from django.test import Client
from django.utils import timezone

from firings.vocabulary import FiringState
from tests.counting import queries_of
from tests.factories import (
    ClayBodyFactory,
    FiringFactory,
    GlazeFactory,
    PhotoFilingFactory,
    SeriesFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.models import Outcome, Tile
from tiles.tilepage.queries import with_state

pytestmark = pytest.mark.django_db


def glazed(**tile) -> Tile:
    return glaze_tile(TileFactory(**tile), (GlazeFactory(), {"band 1": 1, "back": 2}))


def state_of(tile: Tile) -> str:
    return with_state(Tile.objects.all()).get(pk=tile.pk).state


def listed(client: Client, query: str = "") -> list[str]:
    """The numbers on the page, in its order."""
    page = client.get(f"/tiles/{query}").content.decode()
    return re.findall(r'<a class="figures"\s+href="/tiles/([\d-]+)/"', page)


def test_a_tile_goes_from_made_to_judged():
    tile = TileFactory()
    assert state_of(tile) == "made"

    glaze_tile(tile, (GlazeFactory(), {"band 1": 1, "back": 2}))
    assert state_of(tile) == "glazed"

    firing = FiringFactory()
    fired_outcomes(tile, firing)
    assert state_of(tile) == "loaded"

    firing.state, firing.started_at = FiringState.FIRED.value, timezone.now()
    firing.save()
    Outcome.objects.update(fired_on="2026-10-14")
    assert state_of(tile) == "fired"

    first, last = Outcome.objects.all()
    Outcome.objects.filter(pk=first.pk).update(judged_at=timezone.now())
    assert state_of(tile) == "fired"

    Outcome.objects.filter(pk=last.pk).update(judged_at=timezone.now())
    assert state_of(tile) == "judged"


def test_a_tile_that_goes_into_the_kiln_again_is_in_the_kiln_again():
    tile = glazed()
    fired_outcomes(tile, FiringFactory(fired=True))
    fired_outcomes(tile, FiringFactory())

    assert state_of(tile) == "loaded"


def test_a_firing_in_the_bin_leaves_the_tile_where_it_was():
    tile, firing = glazed(), FiringFactory()
    fired_outcomes(tile, firing)
    firing.put_in_bin(by=None)

    assert state_of(tile) == "glazed"


def test_the_newest_tile_stands_first(viewer_client: Client):
    older, newer = TileFactory(number=71001), TileFactory(number=71002)

    assert listed(viewer_client) == [newer.label, older.label]


def test_states_bodies_series_and_words_narrow_the_list(viewer_client: Client):
    body, series = ClayBodyFactory(name="Dune"), SeriesFactory()
    wanted = glaze_tile(
        TileFactory(body=body, series=series, number=71042), (GlazeFactory(name="Harbour"), {"back": 1})
    )
    TileFactory()

    for query in (
        "?state=glazed",
        f"?body={body.pk}",
        f"?series={series.pk}",
        "?q=harb",
        "?q=71042-2",
        "?q=dune+harbour",
    ):
        assert listed(viewer_client, query) == [wanted.label], query
    assert listed(viewer_client, "?q=dune+nothing") == []


def test_each_state_says_how_many_with_the_other_filters_applied(viewer_client: Client):
    body = ClayBodyFactory()
    TileFactory(body=body)
    glazed(body=body)
    glazed()
    page = re.sub(r"\s+", " ", viewer_client.get(f"/tiles/?body={body.pk}&state=made").content.decode())

    assert 'made <span class="choice-count">1</span>' in page
    assert 'glazed <span class="choice-count">1</span>' in page


def test_a_studio_without_tiles_is_told_how_one_starts(recorder_client: Client):
    page = recorder_client.get("/tiles/").content.decode()

    assert "Glaze the first tile" in page
    assert "Number is incised" in page or "number is incised" in page


def test_no_tile_like_that_is_not_an_empty_studio(recorder_client: Client):
    TileFactory()

    assert "No tile is like that" in recorder_client.get("/tiles/?q=zzz").content.decode()


def test_tiles_in_the_bin_are_not_listed(viewer_client: Client):
    TileFactory().put_in_bin(by=None)

    assert listed(viewer_client) == []


@pytest.mark.parametrize(
    "query", ["?body=x", "?state=up", "?series=99999999999999999999", "?page=x", "?q=%00"]
)
def test_no_address_breaks_the_list(viewer_client: Client, query):
    TileFactory()

    assert viewer_client.get(f"/tiles/{query}").status_code in (200, 422)


def test_the_list_takes_no_more_queries_for_more_tiles(viewer_client: Client):
    PhotoFilingFactory(tile=glazed())
    few = queries_of(viewer_client, "/tiles/")
    for _ in range(6):
        PhotoFilingFactory(tile=glazed(series=SeriesFactory()))

    assert queries_of(viewer_client, "/tiles/") == few
