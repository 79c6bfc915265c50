"""Witness cones, curve, controller and target side by side."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firings.estimate import Estimate
from firings.heatwork.agreement import agree, by_cones, by_controller, by_curve, by_target

SIX = Decimal(6)
NUMBERS = st.decimals(Decimal(-10), Decimal(12), places=2)


def test_the_witness_cones_decide_and_the_rest_is_set_against_them():
    curve = by_curve(Estimate(6.1, 5.8, 6.5, None, "sensor ±9 °C"))
    found = agree([by_target(SIX), by_controller(SIX), curve, by_cones(Decimal("5.8"), [Decimal("5.8")])])

    assert [line.voice.source.value for line in found.lines] == ["witness", "curve", "controller", "target"]
    assert [line.decides for line in found.lines] == [True, False, False, False]
    assert found.lines[1].apart_words.startswith("+0.3 cone, about +")
    assert found.disagreements == ()
    assert "stood by the ware" in found.why


def test_a_cone_apart_by_more_than_both_may_be_off_is_said_plainly():
    # Cone 5 and cone 6 lie 36 °C apart at 60 °C/h by the published chart (1186 and 1222).
    found = agree([by_cones(SIX, [SIX]), by_controller(Decimal(5))])

    assert found.lines[1].apart_c == pytest.approx(-36, abs=4)
    assert "The controller says 5" in found.disagreements[0]
    assert "°C less" in found.disagreements[0]


def test_a_target_is_a_wish_and_never_disagrees():
    assert agree([by_cones(SIX, [SIX]), by_target(Decimal(9))]).disagreements == ()


def test_places_far_apart_make_the_cones_less_sure():
    even = by_cones(SIX, [SIX, SIX])
    uneven = by_cones(SIX, [Decimal(5), Decimal(7)])

    assert uneven.pm_c > even.pm_c


def test_no_evidence_says_nothing():
    assert agree([]) is None


@given(NUMBERS, NUMBERS)
def test_nearer_voices_never_disagree_where_further_ones_do_not(cones, controller):
    found = agree([by_cones(cones, [cones]), by_controller(controller)])
    same = agree([by_cones(cones, [cones]), by_controller(cones)])

    assert same.disagreements == ()
    assert bool(found.disagreements) == found.lines[1].is_beyond
