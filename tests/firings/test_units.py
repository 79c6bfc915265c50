"""Figures as people write them."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firings.units import figure_words, read_figure


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("1,5", "1.5"),
        ("1.5", "1.5"),
        (" 12 ", "12"),
        ("1 222,5", "1222.5"),
        ("1\u202f000", "1000"),
        ("−3", "-3"),
        (".5", "0.5"),
    ],
)
def test_a_comma_and_a_point_both_mark_the_decimals(typed, meant):
    assert read_figure(typed) == Decimal(meant)


@pytest.mark.parametrize("typed", ["", "six", "1,2,3", "1.2.3", "1e9", "٣", "NaN", "inf", "5 mm", "1 2"])
def test_what_is_no_figure_is_refused_with_the_way_to_write_one(typed):
    with pytest.raises(ValueError, match=r"write it like 1\.5 or 1,5"):
        read_figure(typed)


@given(st.decimals(min_value=-10_000, max_value=10_000, places=3))
def test_a_figure_is_read_back_as_it_is_written(value):
    assert read_figure(figure_words(value)) == value
    assert read_figure(figure_words(value).replace(".", ",")) == value
