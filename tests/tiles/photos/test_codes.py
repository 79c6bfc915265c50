"""Our codes in view: read from the upright photo, with where they lie; other codes are left alone."""

import io
import json

import numpy as np
import pytest
import segno
import zxingcpp
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from tests.tiles.photos import corpus
from tiles import numbers
from tiles.photos import codes
from tiles.photos.look import SeenCode, look_at
from tiles.vocabulary import FiledBy

ADDRESS = "HTTP://192.168.178.20:8000/T/"


def scene(*labels: tuple[str, tuple[int, int], int], size: tuple[int, int] = (1600, 1200)) -> Image.Image:
    """A grey table with labels on it: what the code says, where its corner lies, pixels per module.

    The codes are drawn by segno, which shares nothing with the reader.
    """
    table = Image.new("RGB", size, (120, 118, 115))
    for content, place, scale in labels:
        drawn = io.BytesIO()
        segno.make(content, error="m", micro=False).save(drawn, kind="png", scale=scale, border=4)
        table.paste(Image.open(drawn).convert("RGB"), place)
    return table


def read(picture: Image.Image, **options: object) -> list[SeenCode]:
    return [*look_at(io.BytesIO(corpus.saved(picture, "JPEG", quality=85, **options))).codes]


def test_one_code_in_view_gives_its_tile_and_place():
    (found,) = read(scene((ADDRESS + "1042-9", (800, 300), 8)))

    assert found.number == 1042
    # 29 modules and 8 of quiet at 8 px: the code itself starts 32 px in.
    side_px = (segno.make(ADDRESS + "1042-9", error="m", micro=False).symbol_size(8, 0))[0]
    assert found.region.x * 1600 == pytest.approx(832, abs=8)
    assert found.region.y * 1200 == pytest.approx(332, abs=8)
    assert found.region.width * 1600 == pytest.approx(side_px, abs=16)
    assert found.region.height * 1200 == pytest.approx(side_px, abs=16)


def test_the_place_is_in_the_upright_picture():
    notes = Image.Exif()
    notes[0x0112] = 6
    upright = scene((ADDRESS + "1042-9", (100, 800), 8), size=(1200, 1600))

    (found,) = read(upright.transpose(corpus.AS_THE_SENSOR_SAW[6]), exif=notes)

    assert found.region.x < 0.3
    assert found.region.y > 0.5


def test_a_large_and_a_small_code_are_both_seen():
    found = read(
        scene((ADDRESS + "1042-9", (100, 100), 20), ("1057-" + numbers.check_digit(1057), (1200, 700), 5))
    )

    assert [code.number for code in found] == [1042, 1057]


def test_a_tile_whose_code_is_in_view_twice_is_one_tile():
    found = read(scene((ADDRESS + "1042-9", (100, 100), 8), (ADDRESS + "1042-9", (900, 600), 8)))

    assert [code.number for code in found] == [1042]


@pytest.mark.parametrize(
    "content", ["https://clay.example/shop", "WIFI:S:kiln;;", ADDRESS + "1042-8", "10429"]
)
def test_codes_that_are_not_ours_are_left_alone(content):
    assert read(scene((content, (500, 300), 8))) == []


def test_a_photo_without_a_code_gives_none():
    assert read(scene()) == []


@given(
    st.integers(1, numbers.HIGHEST),
    st.sampled_from(["{}", "http://a.b/t/{}", "HTTPS://A.B/STUDIO/T/{}/", "x/T/{}?s=1"]),
)
def test_every_way_our_codes_are_written_leads_to_the_tile(number, form):
    assert codes.tile_number_in(form.format(numbers.write(number))) == number


@given(st.text(max_size=60))
def test_any_text_in_a_code_is_a_tile_or_none(text):
    found = codes.tile_number_in(text)

    assert found is None or numbers.write(found) in text


@pytest.mark.parametrize("kind", ["DataMatrix", "Code128", "Code39"])
def test_a_bare_number_is_read_from_other_kinds_of_code(kind):
    drawn = zxingcpp.create_barcode("1042-9", getattr(zxingcpp.BarcodeFormat, kind)).to_image(scale=6)
    table = scene()
    table.paste(Image.fromarray(np.asarray(drawn)).convert("RGB"), (500, 400))

    (found,) = read(table)

    assert (found.number, found.how) == (1042, FiledBy.NUMBER)
    assert 0.3 < found.region.x < 0.4


@pytest.mark.parametrize("content", ["1042-8", "10429", "4006381333931"])
def test_other_kinds_of_code_that_hold_no_sound_number_are_left_alone(content):
    drawn = zxingcpp.create_barcode(content, zxingcpp.BarcodeFormat.Code128).to_image(scale=4)
    table = scene()
    table.paste(Image.fromarray(np.asarray(drawn)).convert("RGB"), (300, 400))

    assert read(table) == []


def test_an_address_is_told_from_a_bare_number():
    other = "1057-" + numbers.check_digit(1057)
    found = read(scene((ADDRESS + "1042-9", (100, 100), 8), (other, (900, 600), 8)))

    assert [code.how for code in found] == [FiledBy.CODE, FiledBy.NUMBER]


@given(
    st.builds(
        codes.TileCode,
        st.integers(1, 9_999_999),
        st.builds(codes.Region, *[st.integers(0, 10_000).map(lambda share: share / 10_000)] * 4),
        st.sampled_from([FiledBy.CODE, FiledBy.NUMBER]),
    )
)
def test_what_was_in_view_is_kept_and_read_back(code):
    assert codes.TileCode.from_json(json.loads(json.dumps(code.as_json()))) == code
