"""The 24-patch chart: its published colours, finding it, and what it puts right.

Measured over four lights and four ways of holding the camera (16 rendered photos, all charts found), on 60 colours that
are not on the chart, ΔE00 mean and 95th percentile. The camera is simulated: real ones have lenses and glare besides.

  camera's tone curve      before         after, tone left as it is   after
  none                     10.0 and 20.0  0.26 and 0.58               0.26 and 0.58
  mild (0.15)               9.8 and 20.4  1.6 and 2.9                 0.43 and 0.95
  strong (0.3)              9.9 and 20.6  3.2 and 5.9                 0.47 and 1.0
  another shape, logistic   8.3 and 17.5                              0.97 and 2.2
"""

from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from studio.demo.draw import photograph
from studio.demo.picture import CoatPicture, TilePicture, ZonePicture
from tests.published_tables import rows_of
from tests.tiles.colour.scenes import LIGHTS, Shot, as_the_camera_sees, corners, photographed
from tiles.colour import chart24, srgb
from tiles.colour.chart import FoundChart, NoChart, find_chart
from tiles.colour.correction import correct
from tiles.colour.difference import ciede2000
from tiles.colour.homography import through
from tiles.colour.lab import lab_to_srgb, linear_to_lab, srgb_to_lab

WAYS = [
    Shot(),
    Shot(exposure=0.45, noise=6, turn=25),
    Shot(blur_px=2.5, turn=100, tilt=0.15, share=0.35),
    Shot(exposure=0.7, noise=4, blur_px=1.5, turn=-70, tilt=0.25, share=0.25),
]
GLAZES = srgb.to_linear(np.random.default_rng(5).integers(25, 215, (60, 3)))
EDGE = [(0, 0), (6, 0), (6, 4), (0, 4)]


def before_and_after(shot: Shot) -> tuple[np.ndarray, np.ndarray]:
    """ΔE00 of colours that are not on the chart, as photographed and put right."""
    found = find_chart(photographed(shot))
    assert isinstance(found, FoundChart)
    seen = srgb.to_bytes(as_the_camera_sees(GLAZES, shot))
    whole = ~(seen >= 254).any(axis=1)
    true = linear_to_lab(GLAZES)
    differences = (
        ciede2000(srgb_to_lab(rgb), true)[whole] for rgb in (seen, correct(seen, found.correction))
    )
    before, after = differences
    return before, after


def test_the_chart_has_its_published_colours():
    rows = rows_of("chart24.csv")

    published = [[float(row[f"{axis}_d50"]) for axis in "Lab"] for row in rows]
    assert np.allclose(chart24.LAB_D50, published)
    in_srgb = [row["in_srgb"] == "yes" for row in rows]
    bytes_published = np.array([[int(row[f"sRGB_{channel}"]) for channel in "rgb"] for row in rows])
    assert lab_to_srgb(chart24.LAB_D65)[in_srgb] == pytest.approx(bytes_published[in_srgb], abs=1)


@pytest.mark.parametrize("light", LIGHTS)
@pytest.mark.parametrize("way", WAYS, ids=range(4))
def test_a_chart_puts_colours_right(light, way):
    before, after = before_and_after(replace(way, light=light))

    assert after.mean() < 1
    assert np.percentile(after, 95) < 2
    assert after.mean() < before.mean()


@pytest.mark.parametrize(("tone", "mean", "most"), [(0.15, 1.0, 2.0), (0.3, 1.2, 2.5)])
def test_a_phones_tone_curve_is_straightened_by_the_greys(tone, mean, most):
    before, after = before_and_after(replace(WAYS[1], light="bulb", tone=tone))

    assert after.mean() < mean < before.mean()
    assert np.percentile(after, 95) < most


@pytest.mark.parametrize("way", WAYS, ids=range(4))
def test_a_chart_is_found_where_it_lies(way):
    found = find_chart(photographed(way))

    assert isinstance(found, FoundChart)
    # Within a tenth of a patch.
    patch_px = way.size[0] * way.share / 6
    assert through(found.homography, EDGE) == pytest.approx(corners(way), abs=0.1 * patch_px)


def test_blown_out_patches_are_left_out():
    found = find_chart(photographed(Shot(exposure=1.35)))

    assert isinstance(found, FoundChart)
    assert not found.usable[18]  # white
    assert found.correction.n == found.usable.sum()
    assert found.correction.residual_mean < 1


def test_no_chart_is_found_on_tiles():
    blue = CoatPicture((30, 60, 110), (120, 140, 150), (150, 120, 80), 3, opacity=0.7)
    bands = [ZonePicture(4, 6 + 22 * place, 52, 20, (replace(blue, coats=place + 1),)) for place in range(4)]
    for zones in ((), tuple(bands[:1]), tuple(bands)):
        picture = photograph(TilePicture(60, 100, (226, 220, 208), zones, 4, number="1042-9", hole_mm=4.5))

        assert isinstance(find_chart(picture), NoChart)


def test_squares_of_other_colours_are_no_chart():
    for seed in range(4):
        board = np.random.default_rng(seed).integers(20, 240, (4, 6, 3), dtype=np.uint8)
        page = Image.new("RGB", (900, 700), (10, 10, 10))
        for place in range(24):
            row, column = divmod(place, 6)
            square = Image.new("RGB", (86, 86), tuple(int(v) for v in board[row, column]))
            page.paste(square, (150 + 100 * column, 150 + 100 * row))

        assert isinstance(find_chart(page), NoChart)


@pytest.mark.parametrize("size", [(1, 1), (40, 3), (640, 480)])
def test_an_empty_picture_holds_none_and_says_what_to_do(size):
    found = find_chart(Image.new("RGB", size, (120, 120, 120)))

    assert isinstance(found, NoChart)
    assert "in view" in found.reason
