"""Levels and pieces of a photo: every pixel in one piece, nothing beyond the edge, nothing decoded past memory."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiles.closeup.pyramid import MOST_BYTES, SIDE_PX, Pyramid, finest_level

sides = st.integers(1, 12_000)


def test_a_photo_no_larger_than_its_large_rendition_has_no_pieces():
    assert list(Pyramid(2000, 1500).levels) == []


def test_a_photo_of_12_megapixels_has_one_level_of_24_pieces():
    pyramid = Pyramid(4000, 3000)

    assert list(pyramid.levels) == [0]
    assert len(list(pyramid.pieces(0))) == 24


@given(width=sides, height=sides)
def test_the_pieces_of_a_level_cover_it_once(width, height):
    pyramid = Pyramid(width, height)
    for level in pyramid.levels:
        boxes = [pyramid.box(level, *place) for place in pyramid.pieces(level)]
        area = sum((right - left) * (lower - top) for left, top, right, lower in boxes)

        assert area == pyramid.size(level)[0] * pyramid.size(level)[1]
        assert len(set(boxes)) == len(boxes)
        assert all(
            0 < right - left <= SIDE_PX and 0 < lower - top <= SIDE_PX for left, top, right, lower in boxes
        )


@given(width=sides, height=sides)
def test_each_level_is_half_the_one_before_and_the_last_is_just_beyond_the_rendition(width, height):
    pyramid = Pyramid(width, height)
    count = len(pyramid.levels)

    assert pyramid.size(0) == (width, height)
    assert all(max(pyramid.size(level)) > 2000 for level in pyramid.levels)
    assert max(pyramid.size(count)) <= 2000


@pytest.mark.parametrize("place", [(0, 6, 0), (0, 0, 4), (0, -1, 0), (1, 0, 0), (99, 0, 0), (10**9, 0, 0)])
def test_there_is_no_piece_beyond_the_photo(place):
    with pytest.raises(LookupError):
        Pyramid(4000, 3000).box(*place)


@given(width=st.integers(1, 30_000), height=st.integers(1, 30_000))
def test_the_finest_level_fits_memory_as_far_as_the_decoder_can_halve(width, height):
    level = finest_level(width, height, is_progressive=False)

    assert level == 3 or 4 * (width * height >> 2 * level) <= MOST_BYTES
    assert level == 0 or 4 * (width * height >> 2 * (level - 1)) > MOST_BYTES


def test_a_progressive_photo_is_decoded_in_full_only_while_its_coefficients_fit_too():
    # 6 bytes of coefficients and 4 of picture for each pixel: 18 megapixels in 180 MB
    assert finest_level(4500, 4000, is_progressive=True) == 0
    assert finest_level(6320, 4740, is_progressive=True) == 1
