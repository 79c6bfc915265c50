"""sRGB and CIE L*a*b* against the standards' own figures and an independent library."""

import colour
import numpy as np
import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st

from tests.published_tables import rows_of
from tiles.colour import srgb
from tiles.colour.difference import ciede2000
from tiles.colour.lab import (
    LINEAR_TO_XYZ,
    WHITES,
    XYZ_TO_LINEAR,
    Illuminant,
    adapt,
    lab_to_srgb,
    lab_to_xyz,
    srgb_to_lab,
    xyz_to_lab,
)

# The library makes numpy write as of old, for all that is tested after it.
np.set_printoptions(legacy=False)

BYTE = st.integers(0, 255)


@pytest.mark.parametrize("row", rows_of("srgb_lab.csv"), ids=lambda row: f"{row['r']},{row['g']},{row['b']}")
@pytest.mark.parametrize("illuminant", list(Illuminant))
def test_worked_values(row, illuminant):
    expected = [float(row[f"{axis}_{illuminant.value.lower()}"]) for axis in "Lab"]

    found = srgb_to_lab([int(row[channel]) for channel in "rgb"], illuminant)

    assert found == pytest.approx(expected, abs=0.02)


def test_the_matrix_is_the_standards():
    # IEC 61966-2-1, to its four digits
    published = [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]

    assert LINEAR_TO_XYZ[Illuminant.D65] == pytest.approx(np.array(published), abs=6e-5)


def test_the_way_back_is_the_standards():
    # a standards note on IEC 61966-2-1: first row to seven digits; the white's own digits move the fourth
    assert XYZ_TO_LINEAR[Illuminant.D65][0] == pytest.approx([3.2406255, -1.5372080, -0.4986286], abs=5e-4)


def test_the_whites():
    # D65 worked from x 0.3127, y 0.3290; D50 as in ICC profiles
    assert WHITES[Illuminant.D65] == pytest.approx([0.95046, 1, 1.08906], abs=1e-5)
    assert WHITES[Illuminant.D50] == pytest.approx([0.9642, 1, 0.8249])


def test_bytes_and_figures_decode_alike():
    steps = np.arange(256)

    assert srgb.to_linear(steps.astype(np.uint8)) == pytest.approx(srgb.to_linear(steps))


def test_any_shape_of_picture_is_taken():
    picture = np.random.default_rng(1).integers(0, 256, (5, 7, 3), dtype=np.uint8)

    whole = srgb_to_lab(picture)

    assert whole.shape == (5, 7, 3)
    assert whole[3, 2] == pytest.approx(srgb_to_lab(picture[3, 2]))


@given(st.tuples(BYTE, BYTE, BYTE))
def test_there_and_back(rgb):
    for illuminant in Illuminant:
        assert lab_to_srgb(srgb_to_lab(rgb, illuminant), illuminant) == pytest.approx(np.array(rgb), abs=1e-6)


@given(st.lists(st.floats(-1, 3), min_size=3, max_size=3))
def test_there_and_back_outside_srgb(linear):
    assert srgb.to_linear(srgb.to_coded(linear)) == pytest.approx(np.array(linear), abs=1e-5)


@given(st.lists(st.floats(0, 1.2), min_size=3, max_size=3))
def test_adaptation_there_and_back(xyz):
    there = adapt(xyz, Illuminant.D65, Illuminant.D50)

    assert adapt(there, Illuminant.D50, Illuminant.D65) == pytest.approx(np.array(xyz), abs=1e-12)
    assert lab_to_xyz(xyz_to_lab(xyz)) == pytest.approx(np.array(xyz), abs=1e-9)


@given(st.tuples(BYTE, BYTE, BYTE))
def test_an_independent_library_agrees(rgb):
    """coloraide takes its D50 from x 0.3457, y 0.3585, which is not quite that of ICC profiles."""
    colour = Color("srgb", [channel / 255 for channel in rgb])

    assert srgb_to_lab(rgb) == pytest.approx(colour.convert("lab-d65").coords(), abs=0.01)
    assert srgb_to_lab(rgb, Illuminant.D50) == pytest.approx(colour.convert("lab").coords(), abs=0.04)


def test_a_second_library_agrees_over_a_thousand_colours():
    """colour-science, by its own matrices and whites."""
    pixels = np.random.default_rng(7).integers(0, 256, (1000, 3))
    xyz = colour.RGB_to_XYZ(pixels / 255, "sRGB", apply_cctf_decoding=True)
    by_library = colour.XYZ_to_Lab(xyz, colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"])

    # The library's matrix has the standard's four digits, which is what they differ by.
    assert srgb_to_lab(pixels) == pytest.approx(by_library, abs=0.05)


def test_ciede2000_is_the_librarys_over_a_thousand_pairs():
    chance = np.random.default_rng(8)
    first, second = (chance.uniform((0, -100, -100), (100, 100, 100), (1000, 3)) for _ in range(2))

    assert ciede2000(first, second) == pytest.approx(
        colour.delta_E(first, second, method="CIE 2000"), abs=1e-6
    )
