"""Light and focus judged on whole photographs of the mat whose light and blur are known."""

from dataclasses import replace
from functools import lru_cache
from io import BytesIO

import numpy as np
import pytest

from tests.tiles.colour.scenes import Shot
from tests.tiles.photos.mat_scenes import Scene, photographed
from tiles.photos.light import MOST_EDGE_MM, MOST_EDGE_PX, Light, clipped_shares
from tiles.photos.look import Look, look_at

SIZE = (1200, 1600)
PLAIN = Scene(size=SIZE, chart=False, fill=0.96)


@lru_cache(maxsize=32)
def looked(scene: Scene) -> Look:
    return look_at(BytesIO(photographed(scene).file))


def advice(scene: Scene) -> str:
    return " ".join(looked(scene).advice)


def test_an_even_sharp_photo_needs_no_advice():
    light = looked(PLAIN).light

    assert looked(PLAIN).advice == ()
    assert light.fall_off < 0.03
    assert light.shadow < 0.05
    assert light.looked_at == "the tile’s place"


@pytest.mark.parametrize(
    ("darker_deg", "words"),
    [(180, "to the left"), (90, "to the bottom"), (-135, "to the upper left")],
)
def test_light_that_falls_off_is_told_with_its_share_and_side(darker_deg, words):
    light = looked(replace(PLAIN, fall_off=0.4, darker_deg=darker_deg)).light

    # From one end of the mat, which fills most of the photo, to the other.
    assert light.fall_off == pytest.approx(0.38, abs=0.06)
    assert light.towards == words
    assert f"Light falls off {words} by" in advice(replace(PLAIN, fall_off=0.4, darker_deg=darker_deg))


def test_the_slope_of_light_is_followed_to_any_place():
    light = looked(replace(PLAIN, fall_off=0.4, darker_deg=180)).light

    # 1 at the right edge of the photo, 0.6 at the left.
    assert light.at((0.1, 0.5)) / light.at((0.9, 0.5)) == pytest.approx(0.64 / 0.96, rel=0.03)


def test_a_shadow_over_part_of_the_mat_is_told():
    assert "darker than the rest" in advice(replace(PLAIN, shadow=0.5))


@pytest.mark.parametrize("blur_px", [0.7, 1.5])
def test_the_width_of_an_edge_is_that_of_the_blur(blur_px):
    light = looked(replace(PLAIN, shot=Shot(blur_px=blur_px))).light

    # A bell-shaped blur of spread s takes 2.56 s from a tenth to nine tenths; pixels and JPEG add theirs.
    assert light.edge_px == pytest.approx(np.hypot(2.56 * blur_px, 1.1), rel=0.15)
    assert light.edge_mm == pytest.approx(light.edge_px / looked(PLAIN).mat.px_per_mm, rel=0.05)


def test_a_blurred_photo_is_told_and_a_sharp_one_is_not():
    sharp, blurred = replace(PLAIN, shot=Shot(blur_px=0.7)), replace(PLAIN, shot=Shot(blur_px=3.0))

    assert "blurred" not in advice(sharp)
    assert "The photo is blurred" in advice(blurred)
    assert looked(blurred).light.edge_px > MOST_EDGE_PX
    assert looked(blurred).light.edge_mm > MOST_EDGE_MM


def test_a_label_alone_tells_focus_too():
    # The mat's own codes are off the picture.
    look = looked(Scene(size=SIZE, fill=1.3, chart=False, shot=Shot(blur_px=0.7)))

    assert [code.number for code in look.codes] == [1042]
    assert look.light.edge_px == pytest.approx(2.1, abs=0.5)
    assert look.light.edge_mm is None
    assert look.light.looked_at == "the whole photo"


def test_glare_on_the_tile_is_told():
    dark = replace(PLAIN, glazes=11, glare=0.35)

    assert looked(dark).light.glare > 0.05
    assert "glances off" in advice(dark)
    assert looked(PLAIN).light.glare < 0.01


def test_blown_out_paper_is_told():
    scene = replace(PLAIN, shot=Shot(exposure=1.6))

    assert looked(scene).light.fall_off is None
    assert "paper is blown out" in advice(scene)


def test_a_photo_taken_in_the_dark_is_told():
    assert "black without detail" in advice(replace(PLAIN, shot=Shot(exposure=0.0006, noise=0.5)))


def test_a_tilted_camera_is_told():
    assert "tilted by 30°" in advice(replace(PLAIN, tilt_deg=30, fill=0.75))


def test_a_mat_that_is_small_in_the_photo_is_told():
    assert "go nearer" in advice(replace(PLAIN, fill=0.85))


def test_clipped_shares_count_ends_of_the_scale():
    pixels = np.full((10, 10, 3), 120, np.uint8)
    pixels[:2, :, 0] = 255
    pixels[9] = 0

    assert clipped_shares(pixels) == pytest.approx((0.2, 0.1))
    assert clipped_shares(np.empty((0, 3), np.uint8)) == (0.0, 0.0)


def test_where_light_is_not_known_it_counts_as_even():
    assert Light(None, "", None, None, None, None, None, 0, 0, None, "the whole photo").at((0.1, 0.9)) == 1.0
