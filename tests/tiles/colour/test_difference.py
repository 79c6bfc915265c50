"""Colour differences against their published pairs and an independent library."""

import numpy as np
import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st

from tests.published_tables import rows_of
from tiles.colour.difference import cie76, ciede2000

PAIRS = rows_of("ciede2000_pairs.csv")
LAB = st.tuples(st.floats(0, 100), st.floats(-120, 120), st.floats(-120, 120))


def sides(row):
    return [[float(row[axis + side]) for axis in "Lab"] for side in "12"]


@pytest.mark.parametrize("row", PAIRS, ids=lambda row: f"pair {row['pair']}")
def test_published_pair_in_both_directions(row):
    # Sharma, Wu, Dalal 2005, Color Res. Appl. 30(1), table 1
    first, second = sides(row)

    assert ciede2000(first, second) == pytest.approx(float(row["dE00"]), abs=1e-4)
    assert ciede2000(second, first) == pytest.approx(float(row["dE00"]), abs=1e-4)


def test_all_pairs_at_once():
    both = np.array([sides(row) for row in PAIRS])

    assert len(PAIRS) == 34
    found = ciede2000(both[:, 0], both[:, 1])
    assert found == pytest.approx([float(row["dE00"]) for row in PAIRS], abs=1e-4)


def test_the_plain_distance():
    # worked by hand: √(2.6772² + 2.9734²)
    assert cie76([50, 2.6772, -79.7751], [50, 0, -82.7485]) == pytest.approx(4.0011, abs=1e-4)


def test_one_colour_against_many():
    assert ciede2000([50, 0, 0], np.zeros((4, 5, 3))).shape == (4, 5)


@given(LAB, LAB)
def test_neither_direction_nor_sign_matters(first, second):
    there = float(ciede2000(first, second))

    assert there >= 0
    assert there == pytest.approx(float(ciede2000(second, first)), abs=1e-9)
    assert ciede2000(first, first) == pytest.approx(0, abs=1e-9)


@given(LAB, LAB)
def test_an_independent_library_agrees(first, second):
    theirs = Color("lab-d65", first).delta_e(Color("lab-d65", second), method="2000", space="lab-d65")

    hues = [np.degrees(np.arctan2(b, a)) for _, a, b in (first, second)]
    if abs(abs(hues[0] - hues[1]) - 180) > 1e-3:  # exactly opposite hues turn either way by rounding
        assert ciede2000(first, second) == pytest.approx(theirs, abs=1e-6)
