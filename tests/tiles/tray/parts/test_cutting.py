"""A tile's part of a photo, in whole pixels."""

import io

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from tiles.photos.codes import Region
from tiles.tray.parts.cutting import Share, cut


@pytest.fixture
def halves(tmp_path):
    """A picture whose left half is dark and whose right half is light."""
    picture = Image.new("RGB", (400, 200), (20, 20, 20))
    picture.paste((230, 230, 230), (200, 0, 400, 200))
    picture.save(tmp_path / "halves.jpg", quality=95)
    return tmp_path / "halves.jpg"


@pytest.mark.parametrize(("region", "tone"), [(Region(0, 0, 0.5, 1), 20), (Region(0.5, 0, 0.5, 1), 230)])
def test_the_part_shows_its_side_of_the_photo(halves, region, tone):
    part = Image.open(io.BytesIO(cut(halves, Share.of_region(region), 1000)))

    assert part.size == (200, 200)
    assert part.resize((1, 1)).getpixel((0, 0))[0] == pytest.approx(tone, abs=8)


def test_a_part_is_scaled_down_to_the_size_asked_for(halves):
    part = Image.open(io.BytesIO(cut(halves, Share(0, 0, 10_000, 10_000), 100)))

    assert part.size == (100, 50)


@given(*[st.integers(0, 10_000)] * 4)
def test_any_share_within_a_photo_can_be_cut(left, top, width, height):
    share = Share(left, top, width, height)

    if share.is_within:
        assert Share.read(share.written) == share
        assert min(share.size_px(3, 2)) >= 1


def test_the_thinnest_part_at_the_edge_is_still_a_picture(halves):
    part = Image.open(io.BytesIO(cut(halves, Share(9_999, 9_999, 1, 1), 320)))

    assert part.size == (1, 1)


@pytest.mark.parametrize("written", ["0-0-0-10", "9000-0-2000-10", "0-10001-1-1"])
def test_a_part_outside_the_photo_is_refused(written):
    with pytest.raises(ValueError, match="within"):
        Share.read(written)
