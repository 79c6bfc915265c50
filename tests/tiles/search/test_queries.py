"""What searches find and count, against a plain reading of the same studio."""

import pytest

from tests.factories import (
    FiringFactory,
    GlazeFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.search.counting.queries import facet_counts
from tiles.search.queries import search


@pytest.fixture
def harbour_tile(db):
    harbour, flux = GlazeFactory(name="Harbour"), GlazeFactory(name="Flux L", kind="flux")
    tile = glaze_tile(
        TileFactory(), (flux, {"band 3": 1}), (harbour, {"band 1": 1, "band 2": 2, "band 3": 3})
    )
    fired_outcomes(tile, FiringFactory(fired=True))
    return tile


def test_counts_stand_beside_each_choice(harbour_tile):
    asked = search("")
    counts = facet_counts(asked)
    print(counts)
    print(asked.form.errors)
    assert counts.total == 3
