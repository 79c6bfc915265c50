"""Small cones' end points, and how each figure is known."""

import pytest

from firings.cones import series


@pytest.mark.parametrize(
    ("label", "end_point_c"),
    # Orton Foundation's chart, small cones at 300 °C/h (rows 022 to 08 seen in a copy); 06 and 04 as 1873 and
    # 2008 °F in an art dictionary.
    [("022", 630), ("019", 723), ("012", 900), ("08", 983), ("06", 1023), ("04", 1098)],
)
def test_small_cones_that_were_seen(label, end_point_c):
    cone = series.of_order(series.order_of(label))

    assert cone.small_300 == end_point_c
    assert cone.small_source == "seen"


def test_figures_from_memory_are_marked():
    assert {cone.small_source for cone in series.cones() if cone.small_300} == {"seen", "from memory"}
    assert all(not cone.small_source for cone in series.cones() if not cone.small_300)
    assert series.of_order(series.order_of("6")).small_source == "from memory"


def test_small_cones_bend_later_at_their_faster_rate():
    for cone in series.cones():
        if cone.small_300:
            assert cone.small_300 > cone.c_150


def test_small_end_points_rise_with_the_series():
    temperatures = [cone.small_300 for cone in series.cones() if cone.small_300]

    assert temperatures == sorted(temperatures)
