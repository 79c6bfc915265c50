"""A tile that ran, on photos large enough to be cut into pieces."""

import io

import pytest

from tests.factories import FiringFactory, GlazeFactory, TileFactory, fired_outcomes, glaze_tile
from tests.tiles.photos import corpus
from tests.tiles.photos.mat_scenes import Scene, photographed


@pytest.fixture
def outcome():
    """Band 1 of a tile after its firing, judged by nobody yet."""
    tile = glaze_tile(TileFactory(), (GlazeFactory(name="Harbour"), {"band 1": 2, "band 2": 3}))
    return fired_outcomes(tile, FiringFactory(number=231, fired=True))[0]


@pytest.fixture
def large_jpeg() -> bytes:
    """A photo of 2,400 × 800 px: wider than its large rendition."""
    return corpus.saved(corpus.upright_picture(2400, 800), "JPEG", quality=80)


@pytest.fixture
def photo(stored, outcome, large_jpeg):
    """A photo of the tile without the mat."""
    return stored(large_jpeg, placement=outcome.placement)


@pytest.fixture(scope="session")
def mat_jpeg() -> bytes:
    """A photo of the mat with a tile on it."""
    return photographed(Scene(chart=False, label_mm=0, lift_mm=7)).file


@pytest.fixture
def mat_photo(stored, outcome, mat_jpeg):
    """A photo of the tile on the mat, looked at."""
    return stored(io.BytesIO(mat_jpeg).getvalue(), placement=outcome.placement)
