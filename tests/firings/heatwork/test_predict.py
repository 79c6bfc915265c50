"""What a programme will do: time, energy and cost against worked sums."""

import pytest

from firings.heatwork.predict import KilnFigures, predict
from firings.heatwork.uncertainty import Sensor
from firings.programmes.segments import Segment, read


def test_how_long_a_programme_takes():
    # 580 K at 100, 622 K at 150 and 15 min: 5.8 + 4.1467 + 0.25 h
    assert predict(read("100:600,150:1222,0:15")).duration_h == pytest.approx(10.1967, abs=0.0001)


def test_energy_of_a_bisque_with_preheat():
    # A pottery school's cost page: 48 A × 240 V = 11.52 kW; 7 h at 15 % and 9 h at 50 %: 12.096 + 51.84 = 63.94 kWh.
    programme = [Segment(80 / 7, 100.0), Segment(840 / 9, 940.0)]

    found = predict(programme, kiln=KilnFigures(power_kw=48 * 240 / 1000, price_per_kwh=0.31))

    assert found.energy_kwh.value == pytest.approx(63.94, abs=0.01)
    assert found.energy_kwh.low < 63.94 < found.energy_kwh.high
    assert found.cost.value == pytest.approx(63.94 * 0.31, abs=0.01)
    assert "rules of thumb" in found.cost.basis


def test_no_energy_without_the_kilns_power_and_no_cost_without_a_price():
    assert predict(read("60:1222")).energy_kwh is None
    assert predict(read("60:1222"), kiln=KilnFigures(power_kw=8.0)).cost is None


def test_as_fast_as_possible_goes_by_the_kiln_or_is_said_to_be_assumed():
    known = predict(read("fast:520,60:1000"), kiln=KilnFigures(fastest_rise_c_per_h=500.0))
    assumed = predict(read("fast:520,60:1000,fast:500"))

    assert known.duration_h == pytest.approx(1 + 8)
    assert known.warnings == ()
    assert any("250 °C/h up" in words for words in assumed.warnings)
    assert any("150 °C/h down" in words for words in assumed.warnings)


def test_elements_on_all_the_time_need_all_the_power():
    flat_out = predict(read("fast:1020"), kiln=KilnFigures(power_kw=10.0, fastest_rise_c_per_h=250.0))

    assert flat_out.energy_kwh.value == pytest.approx(40.0)


def test_programmed_cooling_counts_apart():
    found = predict(read("60:1222,60:1100")).equivalent

    assert found.at_off.number == pytest.approx(6.11, abs=0.02)
    assert found.with_cooling.number == pytest.approx(7.29, abs=0.02)


def test_a_kilns_own_correction_moves_its_forecast():
    hotter = predict(
        read("60:1222"), kiln=KilnFigures(sensor=Sensor(pm_c=4.0, offset_c=8.0, basis="witness cones"))
    )

    assert hotter.equivalent.at_off.number > predict(read("60:1222")).equivalent.at_off.number + 0.3
    assert "witness cones" in hotter.equivalent.number.basis


def test_a_slow_last_part_counts_not_the_beginning():
    # The chart's rates hold for the last 100 °C.
    found = predict(read("300:1122,15:1222")).equivalent

    assert found.rate_c_per_h == pytest.approx(15.0)
    assert found.at_off.number == pytest.approx(8.77, abs=0.03)


def test_a_programme_without_segments_is_refused():
    with pytest.raises(ValueError, match="needs a segment"):
        predict([])
