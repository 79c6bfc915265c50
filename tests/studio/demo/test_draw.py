from dataclasses import replace
from datetime import datetime
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from studio.demo import digits, flaws, light, noise
from studio.demo.draw import fired_slab, jpeg, photograph
from studio.demo.picture import CoatPicture, FlawPicture, TilePicture, ZonePicture

SMALL = (300, 400)
BLUE = CoatPicture((30, 60, 110), (120, 140, 150), (150, 120, 80), 3, opacity=0.7, float_rgb=(120, 160, 180))
BODY = (226, 220, 208)


def tile(*layers: CoatPicture, seed: int = 4, **zone: object) -> TilePicture:
    shown = ZonePicture(4, 12, 52, 50, layers, **zone)  # type: ignore[arg-type]
    return TilePicture(60, 100, BODY, (shown,), seed, number="1042-9", hole_mm=4.5)


def middle(picture: Image.Image) -> np.ndarray:
    """The mean colour over the middle of the glazed zone of `tile`."""
    width, height = picture.size
    box = (int(width * 0.4), int(height * 0.36), int(width * 0.66), int(height * 0.52))
    return np.asarray(picture.crop(box), dtype=float).mean(axis=(0, 1))


def foot(picture: Image.Image) -> np.ndarray:
    """The pixels just below the glazed zone of `tile`."""
    width, height = picture.size
    box = (int(width * 0.3), int(height * 0.63), int(width * 0.7), int(height * 0.72))
    return np.asarray(picture.crop(box), dtype=float)


def test_the_same_picture_is_drawn_the_same():
    first, second = photograph(tile(BLUE), SMALL), photograph(tile(BLUE), SMALL)

    assert first.tobytes() == second.tobytes()


def test_another_seed_is_another_tile():
    assert photograph(tile(BLUE, seed=5), SMALL).tobytes() != photograph(tile(BLUE), SMALL).tobytes()


def test_a_tile_lies_differently_in_its_next_photo():
    again = replace(tile(BLUE), shot=2)

    assert photograph(again, SMALL).tobytes() != photograph(tile(BLUE), SMALL).tobytes()
    assert fired_slab(again, 4.0).colour.tobytes() == fired_slab(tile(BLUE), 4.0).colour.tobytes()


def test_a_picture_has_the_size_that_was_asked_for():
    assert photograph(tile(BLUE), SMALL).size == SMALL
    assert photograph(tile(BLUE), SMALL).mode == "RGB"


def test_each_coat_takes_the_zone_further_from_the_body():
    bare = middle(photograph(tile(), SMALL))
    away = [
        np.abs(middle(photograph(tile(replace(BLUE, coats=coats), surface="matt"), SMALL)) - bare).sum()
        for coats in (1, 2, 3)
    ]

    assert 20 < away[0] < away[1] < away[2]


def test_a_clear_coat_lets_the_body_through():
    clear = CoatPicture((236, 234, 226), (238, 236, 230), (240, 238, 232), 2, opacity=0.05)
    bare, glazed = (middle(photograph(tile(*layers, surface="matt"), SMALL)) for layers in ((), (clear,)))

    assert np.abs(glazed - bare).max() < 30


def test_a_run_reaches_below_its_zone():
    still, ran = (foot(photograph(tile(BLUE, run_mm=run), SMALL)) for run in (0.0, 12.0))

    assert (still[..., 0] < 110).mean() < 0.02
    assert (ran[..., 0] < 110).mean() > 0.1


def test_a_glossy_surface_has_the_brightest_spot_and_a_dry_one_the_dullest():
    spots = [
        photograph(tile(replace(BLUE, float_rgb=None), surface=surface), SMALL)
        .convert("L")
        .crop((85, 100, 215, 220))
        .getextrema()[1]
        for surface in ("glossy", "dry")
    ]

    assert spots[0] > spots[1] + 40


@pytest.mark.parametrize("kind", sorted(flaws.DRAWINGS))
def test_a_flaw_shows_and_a_severe_one_shows_more(kind):
    clean, slight, severe = (
        np.asarray(photograph(tile(BLUE, flaws=found), SMALL), dtype=float)
        for found in ((), (FlawPicture(kind, 0.3),), (FlawPicture(kind, 0.95),))
    )

    assert np.abs(severe - clean).sum() > np.abs(slight - clean).sum()
    assert np.abs(severe - clean).max() > 20


def test_a_flaw_without_a_drawing_is_left_alone():
    found = (FlawPicture("underfired", 0.9),)

    assert photograph(tile(BLUE, flaws=found), SMALL).tobytes() == photograph(tile(BLUE), SMALL).tobytes()


def test_the_surround_is_neutral_grey():
    corner = np.asarray(photograph(tile(BLUE), SMALL).crop((0, 0, 30, 30)), dtype=float).mean(axis=(0, 1))

    assert np.ptp(corner) < 4
    assert 100 < corner.mean() < 160


def test_the_camera_notes_when_the_picture_was_taken():
    kept = Image.open(BytesIO(jpeg(photograph(tile(BLUE), SMALL), datetime(2026, 10, 14, 9, 30, 5))))

    assert kept.format == "JPEG"
    assert kept.getexif().get_ifd(0x8769)[0x9003] == "2026:10:14 09:30:05"
    assert kept.getexif()[0x0112] == 1


def test_every_figure_of_a_tile_number_can_be_scratched():
    strokes = list(digits.scratched("0123456789-", 7, np.random.default_rng(1)))

    assert set("0123456789-") == set(digits.STROKES)
    assert all(len(stroke) >= 2 for stroke in strokes)


@pytest.mark.parametrize("name", sorted(noise.CELLS_MM))
def test_a_field_of_chance_is_even_and_always_the_same(name):
    made = noise.field(name, 3.0)
    noise.field.cache_clear()

    assert abs(float(made.mean())) < 0.01
    assert float(made.std()) == pytest.approx(1, abs=0.01)
    assert np.array_equal(noise.field(name, 3.0), made)


def test_srgb_goes_there_and_back():
    # IEC 61966-2-1: the curve's two branches meet at 0.04045; 0, 10, 11, 128, 255 lie on both sides of it.
    for grey in (0, 10, 11, 128, 255):
        back = light.to_srgb(light.to_linear((grey, grey, grey))[:, None, None])
        assert back[0, 0].tolist() == pytest.approx([grey] * 3, abs=2)
