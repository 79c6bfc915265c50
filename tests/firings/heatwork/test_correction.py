"""A kiln's own correction from firings with both a curve and witness cones."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firings.heatwork.correction import counted_offset, difference_c, kiln_offset, student_95

pairs = st.lists(st.tuples(st.floats(-5, 10), st.floats(-5, 10)), min_size=1, max_size=20)


def test_no_firing_gives_no_correction():
    assert kiln_offset([]) is None


def test_a_kiln_that_fires_half_a_cone_hot():
    # 5.5 to 6 is half of the step from 5 to 6, 33 °C by the model.
    found = kiln_offset([(6.0, 5.5)] * 8)

    assert found.offset_c.value == pytest.approx(difference_c(6.0, 5.5))
    assert found.offset_c.value == pytest.approx(16.6, abs=0.2)
    assert found.offset_c.n == 8
    assert found.offset_c.low > 10


def test_one_misread_cone_does_not_move_it():
    sound = kiln_offset([(6.0, 5.8)] * 7)
    with_slip = kiln_offset([*[(6.0, 5.8)] * 6, (10.0, 5.8)])

    assert with_slip.offset_c.value == pytest.approx(sound.offset_c.value)


def test_one_firing_is_thin_evidence():
    one, many = kiln_offset([(6.0, 5.8)]), kiln_offset([(6.0, 5.8)] * 10)

    assert one.offset_c.high - one.offset_c.low > 20
    assert many.offset_c.high - many.offset_c.low < 10


def test_a_correction_by_too_few_firings_is_not_applied():
    assert counted_offset([(6.0, 5.8)] * 2) is None

    three = counted_offset([(6.0, 5.8)] * 3)

    assert three.offset_c.n == 3
    assert three.single_pm_c == pytest.approx(12.3, abs=0.1)


def test_old_firings_are_forgotten():
    assert kiln_offset([(6.0, 4.0)] * 20 + [(6.0, 6.0)] * 10).offset_c.value == 0


def test_the_corrected_sensor_says_where_it_comes_from():
    sensor = kiln_offset([(6.0, 5.8)] * 3).sensor()

    assert sensor.offset_c > 0
    assert sensor.basis.startswith("corrected by this kiln’s witness cones, +7 °C, n = 3, ±")


@pytest.mark.parametrize(("freedom", "half_width"), [(4, 2.776), (9, 2.262), (13, 2.160), (30, 2.042)])
def test_students_interval_is_the_tables(freedom, half_width):
    # Student's t, two-sided 95 %: any statistical table, such as the NIST/SEMATECH e-Handbook, 1.3.6.7.2.
    assert student_95(freedom) == pytest.approx(half_width, abs=0.02)


@given(pairs)
def test_the_interval_holds_the_offset(readings):
    found = kiln_offset(readings)

    assert found.offset_c.low <= found.offset_c.value <= found.offset_c.high
    assert found.single_pm_c > 0
