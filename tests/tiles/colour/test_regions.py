"""The colour of an area: most of it counts, highlights and specks do not, two colours are said as two."""

import numpy as np
import pytest

from tiles.colour.correction import Basis
from tiles.colour.difference import ciede2000
from tiles.colour.lab import srgb_to_lab
from tiles.colour.regions import area_colour

BLUE, TAN = (60, 90, 140), (170, 140, 110)
WHITE, BLACK = (255, 255, 255), (20, 20, 20)


def surface(*parts: tuple[tuple[int, int, int], int], noise: float = 5) -> np.ndarray:
    """So many pixels of each colour, with noise that the same call repeats."""
    chance = np.random.default_rng(1)
    pixels = [chance.normal(rgb, noise, (count, 3)) for rgb, count in parts]
    return np.clip(np.concatenate(pixels), 0, 255).astype(np.uint8)


def test_highlights_and_specks_do_not_move_the_colour():
    clean = area_colour(surface((BLUE, 4000)))
    dirty = area_colour(surface((BLUE, 4000), (WHITE, 300), (BLACK, 200)))

    assert ciede2000(clean.lab, dirty.lab) < 0.3
    assert ciede2000(clean.lab, srgb_to_lab(BLUE)) < 0.5
    assert dirty.clipped_share == pytest.approx(300 / 4500, abs=0.01)
    assert dirty.speckle_share == pytest.approx(200 / 4500, abs=0.01)


def test_a_mottled_surface_reports_both_its_colours():
    found = area_colour(surface((BLUE, 4000), (TAN, 2000)))

    assert [round(main.share, 1) for main in found.mains] == [0.7, 0.3]
    assert ciede2000(found.mains[0].lab, srgb_to_lab(BLUE)) < 1
    assert ciede2000(found.mains[1].lab, srgb_to_lab(TAN)) < 1


def test_an_even_or_a_shaded_surface_is_one_colour():
    shaded = np.linspace((40, 60, 90), (120, 150, 180), 5000).astype(np.uint8)

    assert len(area_colour(surface((BLUE, 4000))).mains) == 1
    assert len(area_colour(shaded).mains) == 1


def test_the_same_pixels_give_the_same_colours():
    pixels = surface((BLUE, 3000), (TAN, 3000), ((90, 40, 30), 3000))

    assert area_colour(pixels) == area_colour(pixels.reshape(90, 100, 3))
    assert len(area_colour(pixels).mains) == 3


def test_without_a_chart_nothing_is_said_of_how_far_off_it_is():
    found = area_colour(surface((BLUE, 400)))

    assert found.basis is Basis.UNCORRECTED
    assert found.uncertainty is None


def test_a_blown_out_area_has_no_colour():
    with pytest.raises(ValueError, match="blown out; move it off the shine"):
        area_colour(surface((WHITE, 400)))


def test_an_area_too_small_to_read_says_so():
    with pytest.raises(ValueError, match="too small to read; make it larger"):
        area_colour(surface((WHITE, 9)))
