"""What is shown of a photo is upright, in sRGB, of three sizes, and tells nothing the camera noted."""

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.tiles.photos import corpus
from tiles.photos import accept, renditions
from tiles.photos.renditions import Size

CAMERA_FILES = Path(__file__).resolve().parents[4] / "shared" / "photos"


def made(content: bytes, size: Size = Size.LARGE) -> Image.Image:
    picture = Image.open(io.BytesIO(renditions.renditions(io.BytesIO(content))[size]))
    picture.load()
    return picture


def assert_corners(picture: Image.Image, within: int = 6) -> None:
    found = corpus.corner_colours(picture)
    for corner, colour in corpus.CORNERS.items():
        assert found[corner] == pytest.approx(colour, abs=within), corner


@pytest.mark.parametrize("orientation", corpus.AS_THE_SENSOR_SAW)
def test_a_photo_comes_out_upright_however_the_camera_was_held(orientation):
    picture = made(corpus.oriented_jpeg(orientation))

    assert picture.size == corpus.UPRIGHT_SIZE
    assert_corners(picture)


@pytest.mark.parametrize("orientation", corpus.AS_THE_SENSOR_SAW)
def test_the_grey_picture_for_codes_is_upright_too(orientation):
    grey = renditions.upright_grey(io.BytesIO(corpus.oriented_jpeg(orientation)), 2000)

    # Luma of the corners by ITU-R BT.601, 0.299 R + 0.587 G + 0.114 B.
    for corner, (red, green, blue) in corpus.CORNERS.items():
        luma = 0.299 * red + 0.587 * green + 0.114 * blue
        assert corpus.corner_colours(grey)[corner][0] == pytest.approx(luma, abs=6)


@pytest.mark.parametrize("name", corpus.ACCEPTED)
@pytest.mark.filterwarnings("ignore:Corrupt EXIF")
def test_every_accepted_photo_can_be_shown(name):
    make, _ = corpus.ACCEPTED[name]

    for size in Size:
        picture = made(make(), size)

        assert picture.format == "JPEG"
        assert picture.mode == "RGB"
        assert 1 <= max(picture.size) <= size.longest_side_px


def test_the_three_sizes_have_the_shape_of_the_photo():
    content = corpus.noisy_jpeg(4032, 3024)

    sizes = {size: made(content, size).size for size in Size}

    assert sizes == {Size.LARGE: (2000, 1500), Size.MEDIUM: (1000, 750), Size.SMALL: (320, 240)}


def test_a_small_photo_is_never_blown_up():
    assert made(corpus.jpeg()).size == corpus.UPRIGHT_SIZE


@pytest.mark.parametrize("content", [corpus.telling_jpeg(), corpus.telling_png()], ids=["JPEG", "PNG"])
def test_nothing_the_camera_noted_is_in_what_is_shown(content):
    assert corpus.SECRET_PLACE.encode() in content

    for shown in renditions.renditions(io.BytesIO(content)).values():
        picture = Image.open(io.BytesIO(shown))

        assert corpus.SECRET_PLACE.encode() not in shown
        assert corpus.SCRIPT not in shown
        assert b"Exif" not in shown
        assert not picture.getexif()
        assert set(picture.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


def test_no_profile_is_left_either():
    for shown in renditions.renditions(io.BytesIO(corpus.p3_jpeg())).values():
        assert b"ICC_PROFILE" not in shown


def test_wide_gamut_colours_are_converted_not_reinterpreted():
    picture = Image.new("RGB", (64, 64), (150, 110, 90))
    content = corpus.saved(picture, "JPEG", quality=98, icc_profile=corpus.display_p3_profile())

    shown = made(content).getpixel((32, 32))

    # Display P3 to sRGB in linear light, W3C CSS Color Module Level 4, sample code (lin_P3 → XYZ → lin_sRGB).
    matrix = np.array([[1.22494, -0.22494, 0.0], [-0.04206, 1.04206, 0.0], [-0.01964, -0.07864, 1.09828]])
    linear = matrix @ (np.array([150, 110, 90]) / 255) ** 2.2
    encoded = 255 * np.where(linear > 0.0031308, 1.055 * linear ** (1 / 2.4) - 0.055, 12.92 * linear)
    assert shown == pytest.approx(tuple(encoded), abs=3)
    assert shown[0] > 155


def test_colours_of_an_srgb_profile_stay():
    assert_corners(made(corpus.jpeg(icc_profile=corpus.srgb_profile())))


def test_a_damaged_profile_is_passed_over():
    assert_corners(made(corpus.jpeg(icc_profile=b"not a profile" * 20)))


def test_sixteen_bits_of_grey_become_eight():
    shown = made(corpus.sixteen_bit_grey())

    # 0x3000 and 0xC000 of 0xFFFF, as shares of 255.
    assert shown.getpixel((20, 40))[0] == pytest.approx(0x3000 / 257, abs=2)
    assert shown.getpixel((100, 40))[0] == pytest.approx(0xC000 / 257, abs=2)


def test_cmyk_comes_out_in_the_right_colours():
    make, _ = corpus.ACCEPTED["CMYK JPEG"]

    assert_corners(made(make()), within=12)


@pytest.mark.parametrize("content", [corpus.palette_with_transparency(), corpus.grey_with_alpha()])
def test_see_through_parts_show_the_grey_surround(content):
    colours = corpus.corner_colours(made(content)).values()

    assert any(colour == pytest.approx(renditions.SURROUND_RGB, abs=3) for colour in colours)


def test_the_first_of_several_pictures_is_shown():
    assert_corners(made(corpus.several_in_one()))


@pytest.mark.skipif(not CAMERA_FILES.exists(), reason="the eight camera files are not at hand")
def test_the_eight_camera_files_come_out_alike():
    files = sorted(CAMERA_FILES.glob("portrait_*.jpg"))
    orientations = {accept.orientation_of(Image.open(path)) for path in files}
    shown = [_small_grey(path) for path in files]

    assert orientations == set(range(1, 9))
    for picture in shown[1:]:
        assert picture.shape == shown[0].shape
        # Each has its own number drawn on it and was compressed on its own; turned wrongly they are far apart.
        assert np.abs(picture - shown[0]).mean() < 8
        assert np.abs(picture[::-1] - shown[0]).mean() > 20


def _small_grey(path: Path) -> np.ndarray:
    with path.open("rb") as file:
        small = renditions.renditions(file)[Size.SMALL]
    return np.asarray(Image.open(io.BytesIO(small)).convert("L"), dtype=float)
