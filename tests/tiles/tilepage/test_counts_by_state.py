"""How many tiles are in each state is what the states of single tiles add up to."""

import pytest
from django.db.models import Count
from django.http import QueryDict

from firings.vocabulary import FiringState
from tests.factories import (
    FiringFactory,
    GlazeFactory,
    PlacementFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.models import Outcome, Tile
from tiles.tilepage.filters import TileFilter
from tiles.tilepage.queries import counted_by_state, tile_list, with_state

pytestmark = pytest.mark.django_db


@pytest.fixture
def tiles():
    """Two made, one glazed, one loaded, three fired of which one is judged, one judged and loaded again."""
    glaze = GlazeFactory(name="Harbour")
    glazed = [glaze_tile(TileFactory(), (glaze, {"band 1": 2})) for _ in range(6)]
    fired = FiringFactory(fired=True)
    waiting = FiringFactory(state=FiringState.LOADED.value)
    for tile in glazed[2:]:
        fired_outcomes(tile, fired)
    PlacementFactory(tile=glazed[1], firing=waiting)
    PlacementFactory(tile=glazed[5], firing=waiting, sequence=2)
    judged = Outcome.objects.filter(tile__in=(glazed[4], glazed[5]))
    judged.update(judged_at="2026-10-10T10:00Z")
    return [TileFactory(), TileFactory(), *glazed]


@pytest.mark.parametrize("asked", ["", "q=Harbour"])
def test_counts_are_the_sum_of_the_tiles_states(tiles, asked):
    everything, data = with_state(Tile.objects.all()), QueryDict(asked)
    one_by_one = TileFilter(data, everything).qs.order_by().values("state").annotate(number=Count("pk"))
    counts = {state: number for state, _, number in counted_by_state(data, everything)}

    assert {state: number for state, number in counts.items() if number} == {
        row["state"]: row["number"] for row in one_by_one
    }
    assert counts == {"made": 0 if asked else 2, "glazed": 1, "loaded": 2, "fired": 2, "judged": 1}


@pytest.mark.parametrize(
    "asked", ["", "state=judged", "state=loaded", "state=nowhere", "q=Harbour&state=fired"]
)
def test_the_list_counts_as_many_tiles_as_it_shows(tiles, asked):
    shown = tile_list(QueryDict(asked))

    assert shown.page.paginator.count == len(shown.tiles)
