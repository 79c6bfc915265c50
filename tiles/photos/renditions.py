"""What is shown of a photo: upright, in sRGB, at three sizes, holding nothing the camera noted.

Renditions are JPEG because a card or label sheet can embed a JPEG as it is. The original keeps everything.
"""

import io
from contextlib import suppress
from enum import StrEnum
from typing import BinaryIO, Self

from PIL import Image, ImageCms, JpegImagePlugin

from tiles.photos import accept

MEDIA_TYPE = "image/jpeg"
EXTENSION = "jpg"
QUALITY = 85

# Where a picture is see-through, the neutral grey shows that photographs are judged on, as in css/tokens.css.
SURROUND_RGB = (118, 118, 118)

SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB"))


class Size(StrEnum):
    """The three sizes, by the longest side of the upright picture in pixels."""

    longest_side_px: int

    def __new__(cls, value: str, longest_side_px: int = 0) -> Self:
        size = str.__new__(cls, value)
        size._value_, size.longest_side_px = value, longest_side_px
        return size

    LARGE = "large", 2000
    MEDIUM = "medium", 1000
    SMALL = "small", 320


def renditions(file: BinaryIO) -> dict[Size, bytes]:
    """All three sizes of an accepted photo, as the bytes of JPEG files; no size is larger than the photo.

    Each smaller one is made from the one before: from the whole picture each time takes half as long again.
    """
    picture = upright(file, Size.LARGE.longest_side_px)
    made = {}
    for size in Size:
        picture = _fitted(picture, size.longest_side_px)
        made[size] = _as_jpeg(picture)
    return made


def upright(file: BinaryIO, longest_side_px: int) -> Image.Image:
    """An accepted photo, turned upright, in sRGB, its longest side at most `longest_side_px`, nothing noted in it.

    Resized before it is turned: turning all the camera's pixels costs more than turning those that are left.
    """
    picture, turn = _decoded_near(file, longest_side_px)
    icc_profile = picture.info.get("icc_profile")
    picture = in_plain_mode(picture)
    picture = in_srgb(_fitted(picture, longest_side_px), icc_profile)
    return bare(picture if turn is None else picture.transpose(turn))


def upright_grey(file: BinaryIO, longest_side_px: int) -> Image.Image:
    """An accepted photo in 8-bit grey for reading codes: quicker than `upright`, its tones not converted."""
    picture, turn = _decoded_near(file, longest_side_px, "L")
    picture = in_plain_mode(picture)
    picture = _fitted(picture.convert("L"), longest_side_px)
    return bare(picture if turn is None else picture.transpose(turn))


# What undoes each orientation (Exif 2.32, tag 0x0112: where the first row and column of the file lie).
TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}


def size_within(width: int, height: int, longest_side_px: int) -> tuple[int, int]:
    """Width and height scaled down to fit, in whole pixels, never to nothing and never up.

    >>> size_within(4000, 3000, 2000)
    (2000, 1500)
    >>> size_within(300, 200, 2000)
    (300, 200)
    >>> size_within(30000, 10, 320)
    (320, 1)
    """
    scale = min(1.0, longest_side_px / max(width, height))
    return max(1, round(width * scale)), max(1, round(height * scale))


def _decoded_near(
    file: BinaryIO, longest_side_px: int, mode: str | None = None
) -> tuple[Image.Image, Image.Transpose | None]:
    """The decoded picture and how to turn it; a JPEG at the smallest of its decoder's own scales still large enough.

    The file and its decoder are let go of here: WebP's holds two further whole pictures for as long as it lives. So
    that no more than two are held, each step above gives up the picture before it.
    """
    photo = accept.open_photo(file)
    turn = TURNS.get(accept.orientation_of(photo))
    if isinstance(photo, JpegImagePlugin.JpegImageFile):
        photo.draft(mode, size_within(*photo.size, longest_side_px))
    photo.load()
    return photo._new(photo.im), turn


def bare(picture: Image.Image) -> Image.Image:
    """The pixels alone: place, camera, comment and profile would otherwise be written out again."""
    picture.info = {}
    picture.getexif().clear()
    return picture


def in_plain_mode(picture: Image.Image) -> Image.Image:
    """One of the plain 8-bit modes L, RGB or CMYK, whatever way the file stored its pixels."""
    if picture.mode in ("I", "I;16", "I;16B", "I;16L"):
        return picture.convert("I").point(lambda value: value / 257).convert("L")
    if picture.has_transparency_data:
        return _on_surround(picture if picture.mode in ("RGBA", "LA") else picture.convert("RGBA"))
    if picture.mode in ("L", "RGB", "CMYK"):
        return picture
    return picture.convert("L" if picture.mode in ("1", "F") else "RGB")


def _fitted(picture: Image.Image, longest_side_px: int) -> Image.Image:
    target = size_within(*picture.size, longest_side_px)
    if target == picture.size:
        return picture
    return picture.resize(target, Image.Resampling.LANCZOS, reducing_gap=2.0)


def _on_surround(picture: Image.Image) -> Image.Image:
    """The grey surround with the picture on it; pasted at once, as every further copy is of all the pixels."""
    surround = Image.new("RGB", picture.size, SURROUND_RGB)
    surround.paste(picture, mask=picture)
    return surround


def in_srgb(picture: Image.Image, icc_profile: bytes | None) -> Image.Image:
    """The same colours in sRGB (IEC 61966-2-1), by the profile in the file.

    Without one, or with one that is damaged or of another kind of picture, the numbers are taken as sRGB.
    """
    if icc_profile:
        with suppress(ImageCms.PyCMSError, OSError, ValueError):
            embedded = ImageCms.ImageCmsProfile(io.BytesIO(icc_profile))
            intent = ImageCms.Intent.RELATIVE_COLORIMETRIC
            converted = ImageCms.profileToProfile(picture, embedded, SRGB, intent, outputMode="RGB")
            return converted if converted else picture.convert("RGB")
    return picture.convert("RGB")


def _as_jpeg(picture: Image.Image) -> bytes:
    kept = io.BytesIO()
    picture.save(kept, "JPEG", quality=QUALITY)
    return kept.getvalue()
