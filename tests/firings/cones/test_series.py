"""The cone series: order, names, reading what people type."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firings.cones import series

# Orton Foundation, chart for cones 022 to 14 (2016 issue): the published order, coolest first.
PUBLISHED = [
    "022", "021", "020", "019", "018", "017", "016", "015", "014", "013", "012", "011", "010",
    "09", "08", "07", "06", "05½", "05", "04", "03", "02", "01",
    "1", "2", "3", "4", "5", "5½", "6", "7", "8", "9", "10", "11", "12", "13", "14",
]  # fmt: skip


def test_the_series_runs_in_the_published_order():
    assert [cone.label for cone in series.cones()] == PUBLISHED
    assert [cone.order for cone in series.cones()] == list(range(1, 39))


def test_end_points_rise_with_the_series_at_every_published_rate():
    for rate in ("c_15", "c_60", "c_150"):
        temperatures = [getattr(cone, rate) for cone in series.cones() if getattr(cone, rate)]

        assert temperatures == sorted(temperatures)


@pytest.mark.parametrize(
    ("label", "c_15", "c_60", "c_150"),
    # Same chart, self-supporting cones.
    [("06", 981, 998, 1013), ("04", 1046, 1063, 1077), ("6", 1185, 1222, 1243), ("10", 1251, 1285, 1305)],
)
def test_end_points_are_the_charts(label, c_15, c_60, c_150):
    cone = series.of_order(series.order_of(label))

    assert (cone.c_15, cone.c_60, cone.c_150) == (c_15, c_60, c_150)


def test_cones_below_019_have_no_slow_figure():
    assert [cone.label for cone in series.cones() if cone.c_15 is None] == ["022", "021", "020"]


@pytest.mark.parametrize(
    ("typed", "label"),
    [("6", "6"), (" ^6 ", "6"), ("cone 06", "06"), ("Cone06", "06"), ("Δ04", "04"), ("5 1/2", "5½"), ("5.5", "5½"),
     ("5,5", "5½"), ("05½", "05½")],
)  # fmt: skip
def test_a_cone_is_read_as_people_write_it(typed, label):
    assert series.label_of(series.order_of(typed)) == label


@pytest.mark.parametrize("typed", ["", "0", "15", "6.5", "six", "-6", "1222"])
def test_what_is_no_cone_is_refused_with_what_to_write(typed):
    with pytest.raises(ValueError, match="write 022 to 01, 1 to 14"):
        series.order_of(typed)


@given(st.text(max_size=12))
def test_reading_a_cone_never_fails_otherwise(typed):
    try:
        order = series.order_of(typed)
    except ValueError:
        return

    assert 1 <= order <= 38


@pytest.mark.parametrize("cone", series.cones(), ids=lambda cone: cone.label)
def test_every_name_reads_back(cone):
    assert series.order_of(cone.label) == cone.order


@pytest.mark.parametrize(
    ("number", "words"),
    [("6.00", "6"), ("5.80", "5.8"), ("5.96", "6"), ("10.10", "10.1"), ("0.00", "01"), ("-3.00", "04"),
     ("-3.39", "0.6 past 05"), ("0.50", "0.5 past 01"), ("-5", "06")],
)  # fmt: skip
def test_a_decimal_cone_never_reads_like_another_cone(number, words):
    # 04.6 would read as cone 04 and something hotter to one potter and cooler to another.
    assert series.number_words(Decimal(number)) == words


def test_ranks_outside_the_series_are_refused():
    for order in (0, 39, -1):
        with pytest.raises(ValueError, match="no rank"):
            series.of_order(order)
