"""What witness cones of one place say together, and how a bent cone is drawn."""

import math
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firings.heatwork import cone_shape
from firings.heatwork.witness import clock_words, what_they_say

CONE_5, CONE_6, CONE_7 = 28, 30, 31
BENDS = st.integers(0, 180)


@pytest.mark.parametrize(
    ("bends", "words"),
    [
        # The linear share of 90° is a fair guess; no relation is published (hence no source to compare with).
        ((90, 72, 0), "Guide down, target at five o’clock, guard upright: 5.8."),
        ((90, 90, 30), "Guide down, target down, guard at two o’clock: 6.3."),
        ((100, 95, 92), "Guide down, target down, guard down: at least 7."),
        ((0, 5, 0), "Guide upright, target upright, guard upright: cone 5 is not reached."),
        ((90, None, None), "Guide down: at least 5."),
        ((None, None, None), "Not read yet."),
    ],
)
def test_a_set_of_three_is_told_in_words(bends, words):
    assert what_they_say(zip((CONE_5, CONE_6, CONE_7), bends, strict=True)).words == words


@pytest.mark.parametrize(
    "bends", [(90, 20, 90), (30, 80, 0)], ids=["guard down, target up", "target further down than the guide"]
)
def test_a_hotter_cone_further_down_than_a_cooler_one_is_pointed_out(bends):
    (doubt,) = what_they_say(zip((CONE_5, CONE_6, CONE_7), bends, strict=True)).doubts

    assert "which is cooler" in doubt


def test_two_like_cones_in_one_place_that_differ_are_pointed_out():
    assert "differ by 60°" in what_they_say([(CONE_6, 20), (CONE_6, 80)]).doubts[0]


@given(st.lists(BENDS, min_size=3, max_size=3))
def test_cones_in_their_order_raise_no_doubt(bends):
    falling = sorted(bends, reverse=True)

    assert what_they_say(zip((CONE_5, CONE_6, CONE_7), falling, strict=True)).doubts == ()


@given(BENDS, BENDS)
def test_a_target_further_down_never_says_less(one, other):
    less, more = sorted((one, other))
    numbers = [what_they_say([(CONE_5, 90), (CONE_6, bend), (CONE_7, 0)]).number for bend in (less, more)]

    assert numbers[0] <= numbers[1]
    assert numbers[1] <= Decimal(6)


def test_the_clock_goes_from_upright_to_down():
    words = list(dict.fromkeys(clock_words(bend) for bend in range(0, 91)))

    assert (words[0], words[-1]) == ("upright", "down")
    assert "at three o’clock" in words
    assert len(words) == 13


@pytest.mark.parametrize("bend", [0, 30, 45, 72, 90, 120])
def test_the_tip_is_seen_where_the_bend_says(bend):
    x, y = cone_shape.tip(bend)
    seen = math.degrees(math.atan2(x - cone_shape.FOOT_X, cone_shape.FOOT_Y - y))

    assert seen == pytest.approx(cone_shape.seen_deg(bend))


def test_at_ninety_degrees_the_tip_is_level_with_the_base():
    # The end point of a self-supporting cone by the published chart: tip level with the top of its base.
    assert cone_shape.tip(90)[1] == pytest.approx(cone_shape.FOOT_Y)


def test_a_cone_never_gets_longer_than_it_is_and_stays_in_its_drawing():
    tips = [cone_shape.tip(bend) for bend in range(cone_shape.LAST_DEG + 1)]

    assert all(0 < x < cone_shape.WIDTH and 0 < y < cone_shape.HEIGHT for x, y in tips)
    assert all(
        math.dist(tip, (cone_shape.FOOT_X, cone_shape.FOOT_Y)) <= cone_shape.LENGTH + 1e-9 for tip in tips
    )
    assert all(math.dist(one, next_one) < 3 for one, next_one in pairwise(tips))
