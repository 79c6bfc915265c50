"""Two measured colours: how far apart, in which direction, and whether that is real."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chi

from tiles.colour.apart import MeasuredColour, apart, differences
from tiles.vocabulary import ColourBasis

LAB = st.tuples(st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100))


def by_chart(lab: tuple[float, float, float], **more: float) -> MeasuredColour:
    return MeasuredColour(lab, "chart", **{"residual_de": 0.5, **more})


@pytest.mark.parametrize(
    ("first", "second", "words"),
    [
        ((50, 20, 20), (58, 20, 20), "lighter"),
        ((50, 20, 20), (42, 20, 20), "darker"),
        ((50, 10, 10), (50, 25, 25), "stronger"),
        ((50, 25, 25), (50, 10, 10), "greyer"),
        ((50, 30, 20), (50, 20, 30), "yellower"),
        ((50, 20, 30), (50, 30, 20), "redder"),
        ((50, -30, 20), (50, -20, 30), "yellower"),
        ((50, -20, 30), (50, -30, 20), "greener"),
        ((50, -20, -30), (50, -30, -20), "greener"),
        ((50, -30, -20), (50, -20, -30), "bluer"),
        ((50, 30, -20), (50, 20, -30), "bluer"),
        ((50, 20, -30), (50, 30, -20), "redder"),
        ((50, 0, 0), (50, 0, 12), "yellower"),
        ((50, 0, 0), (55, 5, 0), "lighter, redder"),
        ((50, 0, 0), (50, 0, 0), ""),
    ],
)
def test_the_way_to_another_colour_is_said_in_plain_words(first, second, words):
    assert apart(by_chart(first), by_chart(second)).words == words


@pytest.mark.parametrize(
    ("l_star", "verdict"),
    [
        (51.5, "too close to tell"),
        (53.0, "perhaps a difference"),
        (56.0, "a real difference"),
    ],
)
def test_a_difference_is_real_only_beyond_twice_the_give_or_take(l_star, verdict):
    first, second = (by_chart((light, 0, 0), residual_de=1.5) for light in (50, l_star))
    found = apart(first, second)

    assert found.plus_minus == pytest.approx(1.5 * np.sqrt(2))
    assert found.verdict == verdict


def test_what_is_real_need_not_be_seen():
    first, second = (by_chart((light, 0, 0), residual_de=0.1) for light in (50, 50.8))

    assert apart(first, second).verdict == "real, but hardly to be seen"


def test_twice_the_give_or_take_is_passed_by_chance_in_under_two_of_a_hundred():
    # scipy: the chi distribution with three degrees of freedom
    assert chi.sf(2 * chi.mean(3), 3) == pytest.approx(0.017, abs=0.001)


def test_two_areas_of_one_photo_share_its_errors():
    first, second = ((50, 10, 10), (50, 20, 10))
    readings = [MeasuredColour(lab, "uncorrected", photo=7) for lab in (first, second)]
    elsewhere = MeasuredColour(second, "uncorrected", photo=8)

    assert apart(*readings).verdict == "a real difference"
    assert apart(readings[0], elsewhere).verdict == "too close to tell"


@pytest.mark.parametrize("basis", list(ColourBasis))
def test_every_basis_says_how_far_off_it_may_be(basis):
    reading = MeasuredColour((50, 0, 0), basis.value, spread_de=10)

    assert reading.give_or_take > 2
    assert apart(reading, reading).delta_e == 0


@given(LAB, LAB)
def test_the_three_differences_make_up_the_whole(first, second):
    # CIE 15: ΔE76² = ΔL*² + ΔC*² + ΔH*²
    whole = float(np.linalg.norm(np.subtract(first, second)))

    assert np.linalg.norm(differences(first, second)) == pytest.approx(whole, abs=1e-5)


@given(LAB, LAB)
def test_there_and_back_are_opposite(first, second):
    there, back = differences(first, second), differences(second, first)

    assert there[:2] == pytest.approx([-value for value in back[:2]])
    assert abs(there[2]) == pytest.approx(abs(back[2]), abs=1e-5)
