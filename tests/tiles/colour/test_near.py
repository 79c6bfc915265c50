"""Colours near one: what was asked for is read as people write it, and the box leaves none out."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from tiles.colour.near import LARGEST_DE, box_around, read_colour, read_within, within

LAB = st.tuples(st.floats(0, 100), st.floats(-130, 130), st.floats(-130, 130))


@given(LAB, st.floats(0.1, LARGEST_DE), arrays(float, (60, 3), elements=st.floats(-2, 2, width=16)))
def test_no_near_colour_lies_outside_the_box(asked, most_de, steps):
    others = np.array(asked) + steps * most_de * (1, 3, 3)
    others[:, 0] = others[:, 0].clip(0, 100)
    near, _ = within(others, asked, most_de)
    box = box_around(asked, most_de)

    assert all(box.holds(others[place]) for place in near)


def test_the_box_around_a_glaze_is_small_enough_to_be_of_use():
    # A honey brown: within ΔE 3 less than a hundredth of what surfaces can be.
    box = box_around((45.0, 12.0, 28.0), 3.0)
    sides = np.subtract(box.high, box.low)

    assert sides[0] < 8
    assert np.prod(sides) < 0.01 * 100 * 200 * 200


@pytest.mark.parametrize(
    ("typed", "lab"),
    [
        ("39 24 33", (39, 24, 33)),
        ("39, 24, 33", (39, 24, 33)),
        ("39,24,-33", (39, 24, -33)),
        ("39,5 24,2 −33", (39.5, 24.2, -33)),
        ("39.5; 24.2; 33", (39.5, 24.2, 33)),
        # tests/published/srgb_lab.csv, under D50
        ("#ff0000", (54.29, 80.81, 69.89)),
        ("f00", None),
        ("#F00", (54.29, 80.81, 69.89)),
        ("ff0000", (54.29, 80.81, 69.89)),
        ("brown", None),
        ("39 24", None),
        ("139 24 33", None),
        ("nan 0 0", None),
    ],
)
def test_a_colour_is_read_as_people_write_it(typed, lab):
    if lab is None:
        with pytest.raises(ValueError, match=r"#7a5230|L\*"):
            read_colour(typed)
    else:
        assert read_colour(typed) == pytest.approx(lab, abs=0.02)


@pytest.mark.parametrize("typed", ["0", "-1", "31", "five", "inf", "nan"])
def test_a_difference_that_makes_no_sense_is_refused(typed):
    with pytest.raises(ValueError, match="ΔE"):
        read_within(typed)
