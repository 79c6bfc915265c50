"""Pieces put together again are the photo, upright, in sRGB, whatever way the camera stored it."""

import io

import numpy as np
import pytest
from PIL import Image

from tests.tiles.photos import corpus
from tiles.closeup.pieces import pieces, pyramid_of, stored_box
from tiles.photos.renditions import TURNS

SIZE = (2601, 1203)


def together(content: bytes, level: int) -> Image.Image:
    file = io.BytesIO(content)
    pyramid = pyramid_of(file)
    whole = Image.new("RGB", pyramid.size(level))
    for column, row, piece in pieces(file, level):
        part = Image.open(io.BytesIO(piece))
        left, top, right, lower = pyramid.box(level, column, row)
        assert part.size == (right - left, lower - top)
        whole.paste(part, (left, top))
    return whole


@pytest.mark.parametrize("orientation", range(1, 9))
def test_pieces_are_upright_however_the_camera_was_held(orientation):
    turn = corpus.AS_THE_SENSOR_SAW[orientation]
    upright = corpus.upright_picture(*SIZE)
    stored = upright if turn is None else upright.transpose(turn)
    notes = Image.Exif()
    notes[0x0112] = orientation

    found = together(corpus.saved(stored, "JPEG", quality=90, exif=notes), 0)

    assert found.size == SIZE
    for place, colour in corpus.CORNERS.items():
        assert np.abs(np.subtract(corpus.corner_colours(found)[place], colour)).max() < 8


@pytest.mark.parametrize("turn", [None, *TURNS.values()])
def test_a_box_lies_in_the_stored_picture_where_turning_it_brings_it_from(turn):
    stored = Image.fromarray(np.arange(7 * 5, dtype=np.uint8).reshape(5, 7))
    upright = stored if turn is None else stored.transpose(turn)
    box = (1, 0, 4, 2)
    cut = stored.crop(stored_box(box, upright.size, turn))

    assert (cut if turn is None else cut.transpose(turn)).tobytes() == upright.crop(box).tobytes()


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_coarser_level_is_the_photo_halved_by_whatever_decodes_it(kind):
    photo = Image.effect_mandelbrot((4403, 2302), (-2, -1.2, 1, 1.2), 60).convert("RGB")
    found = together(corpus.saved(photo, kind, quality=95), 1)
    halved = photo.reduce(2)

    assert found.size == halved.size == (2202, 1151)
    assert np.abs(np.asarray(found, float) - np.asarray(halved, float)).mean() < 3


def test_a_piece_holds_nothing_the_camera_noted():
    notes = Image.Exif()
    notes[0x010F] = "Camera of somebody"
    content = corpus.saved(corpus.upright_picture(*SIZE), "JPEG", exif=notes, comment=b"at home")
    _, _, piece = next(pieces(io.BytesIO(content), 0))
    opened = Image.open(io.BytesIO(piece))

    assert not opened.getexif()
    assert b"home" not in piece
    assert b"somebody" not in piece
    assert "icc_profile" not in opened.info


def test_a_see_through_picture_lies_on_the_grey_surround():
    glass = Image.new("RGBA", SIZE, (0, 0, 0, 0))

    assert together(corpus.saved(glass, "PNG"), 0).getpixel((700, 700)) == (118, 118, 118)


def test_there_is_no_level_that_memory_does_not_allow():
    content = corpus.saved(Image.new("L", (9000, 6000)), "JPEG")
    pyramid = pyramid_of(io.BytesIO(content))

    assert list(pyramid.levels) == [1, 2]
    with pytest.raises(LookupError):
        next(pieces(io.BytesIO(content), 0))
