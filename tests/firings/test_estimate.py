"""A figure with its interval."""

import pytest

from firings.estimate import Estimate


def test_a_figure_give_or_take():
    assert Estimate.within(6.0, 0.5, basis="sensor") == Estimate(6.0, 5.5, 6.5, None, "sensor")


def test_a_band_takes_in_all_ways_of_counting():
    assert Estimate.spanning(18.0, 30.0, 20.0, basis="x") == Estimate(18.0, 18.0, 30.0, None, "x")


def test_a_price_scales_the_interval_too():
    assert Estimate(10, 8, 12, 3, "x").times(0.5) == Estimate(5, 4, 6, 3, "x")


@pytest.mark.parametrize(("low", "high", "n"), [(7, 8, None), (4, 5, None), (5, 7, -1)])
def test_an_interval_beside_its_value_is_refused(low, high, n):
    with pytest.raises(ValueError, match=r"does not enclose|cannot be"):
        Estimate(6.0, low, high, n, "x")
