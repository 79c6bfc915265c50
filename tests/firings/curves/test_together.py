"""Several sensors as one curve, spikes and drop-outs set apart."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firings.curves.cleaning import cleaned
from firings.curves.text import UnreadableCurve
from firings.curves.together import one_curve
from tests.firings.curves import shapes

TIMES = np.arange(0, shapes.LENGTH_S, 60.0)
TEMPS = shapes.temps_at(TIMES)


def test_a_sound_sensor_is_left_as_it_is():
    found = cleaned(TIMES, TEMPS)

    assert found.stands.all()
    assert found.words("top") == []


@settings(deadline=None, max_examples=60)
@given(
    st.integers(200, len(TIMES) - 30),
    st.integers(1, 20),
    st.sampled_from([0.0, 400.0, 1372.0, -20.0, 2500.0]),
)
def test_what_jumps_away_and_comes_back_is_left_out(start, length, level):
    temps = TEMPS.copy()
    temps[start : start + length] = level
    apart = np.abs(TEMPS[start : start + length] - level) > 130

    found = cleaned(TIMES, temps)

    assert not found.stands[start : start + length][apart].any() or not apart.all()
    assert found.stands[:start].all()
    assert found.stands[start + length :].all()


def test_fast_firings_are_no_spikes():
    # Raku: 20 to 1000 °C in half an hour, out of the kiln at once.
    times = np.arange(0, 3000.0, 10)
    temps = np.interp(times, [0, 1800, 2000, 2600], [20, 1000, 1000, 550])

    assert cleaned(times, temps).stands.all()


def test_a_coarse_log_has_no_spikes():
    times = np.arange(0, shapes.LENGTH_S, 900.0)

    assert cleaned(times, shapes.temps_at(times)).stands.all()


def test_a_noisy_sensor_is_called_so():
    noisy = TEMPS + np.random.default_rng(3).uniform(-400, 400, len(TEMPS))

    assert any("cannot be trusted" in words for words in cleaned(TIMES, noisy).words("top"))


def test_the_middle_of_three_sensors_is_taken():
    curve = one_curve(TIMES, {"a": TEMPS - 5, "b": TEMPS, "c": TEMPS + 30})

    assert curve.temps_c == pytest.approx(TEMPS)


def test_a_sensor_that_fails_at_the_top_is_left_out_and_named():
    broken = np.where(TEMPS > 1150, np.nan, TEMPS + 10)

    curve = one_curve(TIMES, {"good": TEMPS, "broken": broken})

    assert curve.temps_c == pytest.approx(TEMPS)
    assert any("broken: too few readings near the top" in words for words in curve.words)


def test_sensors_far_apart_are_said():
    words = " ".join(one_curve(TIMES, {"top": TEMPS, "bottom": TEMPS * 0.9}).words)

    assert "top reads 122 °C more than bottom" in words


def test_short_drop_outs_are_drawn_across_and_long_ones_stay_gaps():
    temps = TEMPS.copy()
    temps[100:110] = np.nan
    temps[300:400] = np.nan

    curve = one_curve(TIMES, {"a": temps})

    assert len(curve.times_s) == len(TIMES) - 100
    assert curve.temps_c == pytest.approx(shapes.temps_at(curve.times_s), abs=0.1)


@settings(deadline=None, max_examples=30)
@given(st.permutations(["a", "b", "c", "d"]))
def test_the_order_of_sensors_does_not_matter(order):
    sensors = {"a": TEMPS, "b": TEMPS + 4, "c": TEMPS - 7, "d": np.where(TEMPS > 1000, np.nan, TEMPS)}

    one, other = one_curve(TIMES, sensors), one_curve(TIMES, {name: sensors[name] for name in order})

    assert one.temps_c == pytest.approx(other.temps_c)
    assert one.words == other.words


def test_nothing_that_stands_is_refused():
    with pytest.raises(UnreadableCurve, match="No reading of any sensor stands"):
        one_curve(TIMES, {"a": np.full(len(TIMES), np.nan)})
