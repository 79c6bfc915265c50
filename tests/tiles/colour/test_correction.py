"""Corrections from a chart's patches and from a grey card, and the plane in perspective."""

import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.tiles.colour.scenes import chart_linear
from tiles.colour import chart24, srgb
from tiles.colour.correction import Basis, Correction, Model, correct, from_chart
from tiles.colour.difference import ciede2000
from tiles.colour.greycard import from_grey_card
from tiles.colour.homography import fit_homography, scale_at, through
from tiles.colour.lab import srgb_to_lab

GAIN = st.floats(0.3, 1.5)
SQUARE = np.array([(0, 0), (100, 0), (100, 60), (0, 60), (50, 30), (20, 50)])


@given(st.tuples(GAIN, GAIN, GAIN))
def test_a_mere_change_of_light_is_undone_whole(gains):
    patches = srgb.to_coded(chart_linear() * gains)
    found = from_chart(patches)

    assert found.basis is Basis.CHART
    assert found.residual_max == pytest.approx(0, abs=0.01)
    assert srgb.to_linear(correct(patches, found)) == pytest.approx(chart_linear(), abs=1e-4)


def test_a_correction_is_the_same_after_it_was_kept():
    bent = np.clip(chart_linear(), 0, 1) ** 1.2
    for found in (from_chart(srgb.to_coded(bent)), from_chart(srgb.to_coded(chart_linear()))):
        kept = Correction.from_json(json.loads(json.dumps(found.as_json())))

        assert correct([10, 128, 200], kept) == pytest.approx(correct([10, 128, 200], found))
        assert (kept.basis, kept.model, kept.n) == (found.basis, found.model, found.n)


def test_the_residual_is_that_of_patches_left_out_one_by_one():
    seen = 255 * np.clip(srgb.to_coded(chart_linear() * (1.2, 0.9, 0.7)) / 255, 0, 1) ** 0.9
    whole = from_chart(seen)
    off = []
    for patch in range(24):
        others = np.arange(24) != patch
        without = from_chart(seen, others)
        off.append(ciede2000(srgb_to_lab(correct(seen[patch], without)), chart24.LAB_D65[patch]))

    # Which model wins may change with a patch, hence not to the last digit.
    assert whole.residual_mean == pytest.approx(np.mean(off), rel=0.15)


def test_bent_middle_tones_are_straightened():
    coded = srgb.to_coded(chart_linear()) / 255
    bent = 255 * (coded - 0.25 * np.sin(2 * np.pi * coded) / (2 * np.pi))

    found, plain = from_chart(bent), from_chart(bent, straighten=False)

    assert found.tone is not None
    assert plain.tone is None
    assert found.residual_mean < plain.residual_mean / 2


def test_greys_too_few_to_tell_leave_the_tone_as_it_is():
    usable = np.arange(24) < 22
    coded = srgb.to_coded(chart_linear()) / 255
    found = from_chart(255 * (coded - 0.25 * np.sin(2 * np.pi * coded) / (2 * np.pi)), usable)

    assert found.tone is None


def test_too_few_patches_are_refused():
    usable = np.arange(24) < 14

    with pytest.raises(ValueError, match="14 of 24"):
        from_chart(srgb.to_coded(chart_linear()), usable)


def test_a_grey_card_makes_itself_neutral():
    card = np.full((20, 20, 3), (150, 118, 90), dtype=np.uint8)
    found = from_grey_card(card)

    assert (found.basis, found.model, found.n) == (Basis.GREY_CARD, Model.GAINS, 400)
    # 18 % of the light is L* 49.5 (CIE 15, worked by hand: 116 · 0.18^(1/3) − 16)
    assert srgb_to_lab(correct(card[0, 0], found)) == pytest.approx([49.5, 0, 0], abs=0.02)


@pytest.mark.parametrize(("level", "words"), [(255, "blown out"), (4, "too dark")])
def test_a_card_that_tells_nothing_is_refused(level, words):
    with pytest.raises(ValueError, match=words):
        from_grey_card(np.full((20, 20, 3), level))


@given(st.lists(st.floats(-0.4, 0.4), min_size=6, max_size=6), st.floats(-1e-3, 1e-3), st.floats(-1e-3, 1e-3))
def test_a_known_plane_is_found_again(parts, far_x, far_y):
    a, b, c, d, e, f = parts
    known = np.array([[1 + a, b, 100 * c], [d, 1 + e, 100 * f], [far_x, far_y, 1]])

    found = fit_homography(SQUARE, through(known, SQUARE))

    assert through(found, SQUARE + 7.0) == pytest.approx(through(known, SQUARE + 7.0), abs=1e-4)


def test_the_scale_of_a_plane_seen_straight_on():
    found = fit_homography(SQUARE, SQUARE * 12.5 + 40)

    assert scale_at(found, (30, 30)) == pytest.approx(12.5)


@pytest.mark.parametrize("points", [SQUARE[:3], [(0, 0), (1, 1), (2, 2), (3, 3)]])
def test_points_that_fix_no_plane_are_refused(points):
    with pytest.raises(ValueError, match="plane"):
        fit_homography(points, np.asarray(points) * 2)
