"""The pieces of one level of a photo: cut from one decoding, upright, in sRGB, holding nothing the camera noted.

Only the piece at hand is turned and converted, so that no second picture as large as the photo is ever in memory.
"""

import io
from collections.abc import Iterator
from typing import BinaryIO

from PIL import Image, ImageFile, JpegImagePlugin

from tiles.closeup.pyramid import Box, Pyramid, finest_level
from tiles.photos import accept, renditions

# Higher than a rendition's: a piece is looked at pixel by pixel.
QUALITY = 90

TURN = Image.Transpose


def pyramid_of(file: BinaryIO) -> Pyramid:
    """The levels a photo has; reads its head, decodes nothing."""
    photo = accept.open_photo(file)
    width, height = photo.size
    finest = 0
    if isinstance(photo, JpegImagePlugin.JpegImageFile):
        finest = finest_level(width, height, is_progressive=bool(photo.info.get("progressive")))
    if accept.orientation_of(photo) in accept.QUARTER_TURNS:
        width, height = height, width
    return Pyramid(width, height, finest)


def pieces(file: BinaryIO, level: int) -> Iterator[tuple[int, int, bytes]]:
    """Every piece of a level as column, row and the bytes of a JPEG; the photo is decoded once.

    Raises
    ------
    LookupError : the photo has no such level
    """
    pyramid = pyramid_of(file)
    if level not in pyramid.levels:
        raise LookupError(f"no level {level} of {pyramid.width} × {pyramid.height} px")
    photo = accept.open_photo(file)
    turn = renditions.TURNS.get(accept.orientation_of(photo))
    still_to_halve = _decode(photo, level)
    for column, row in pyramid.pieces(level):
        box = stored_box(pyramid.box(level, column, row), pyramid.size(level), turn)
        yield column, row, _as_jpeg(_cut(photo, box, still_to_halve), turn)


def _decode(photo: ImageFile.ImageFile, level: int) -> int:
    """Decode, a JPEG at its decoder's own halving of that level; returns how often it must be halved still."""
    stored_width = photo.width
    if isinstance(photo, JpegImagePlugin.JpegImageFile):
        photo.draft(None, (max(1, photo.width >> level), max(1, photo.height >> level)))
    photo.load()
    done = round(stored_width / photo.width).bit_length() - 1
    return level - done


def _cut(photo: Image.Image, box: Box, still_to_halve: int) -> Image.Image:
    """The part of the stored picture under a box of the level, in sRGB, at the level's scale."""
    times = 1 << still_to_halve
    left, top, right, lower = (edge * times for edge in box)
    part = photo.crop((left, top, min(right, photo.width), min(lower, photo.height)))
    plain = renditions.in_plain_mode(part)
    halved = plain.reduce(times) if times > 1 else plain
    return renditions.in_srgb(halved, photo.info.get("icc_profile"))


def _as_jpeg(piece: Image.Image, turn: Image.Transpose | None) -> bytes:
    upright = renditions.bare(piece if turn is None else piece.transpose(turn))
    kept = io.BytesIO()
    upright.save(kept, "JPEG", quality=QUALITY)
    return kept.getvalue()


def stored_box(box: Box, size: tuple[int, int], turn: Image.Transpose | None) -> Box:
    """Where a box of the upright picture lies in the stored one, which `turn` makes upright; `size` is upright.

    >>> stored_box((0, 0, 2, 1), (10, 20), Image.Transpose.ROTATE_180)
    (8, 19, 10, 20)
    """
    left, top, right, lower = box
    (x1, y1), (x2, y2) = (_stored_place(place, size, turn) for place in ((left, top), (right, lower)))
    return min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)


def _stored_place(
    place: tuple[int, int], size: tuple[int, int], turn: Image.Transpose | None
) -> tuple[int, int]:
    (x, y), (width, height) = place, size
    if turn in (TURN.FLIP_LEFT_RIGHT, TURN.ROTATE_180, TURN.TRANSVERSE, TURN.ROTATE_270):
        x = width - x
    if turn in (TURN.FLIP_TOP_BOTTOM, TURN.ROTATE_180, TURN.TRANSVERSE, TURN.ROTATE_90):
        y = height - y
    is_quarter = turn in (TURN.TRANSPOSE, TURN.TRANSVERSE, TURN.ROTATE_90, TURN.ROTATE_270)
    return (y, x) if is_quarter else (x, y)
