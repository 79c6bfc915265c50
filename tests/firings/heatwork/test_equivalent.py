"""The cone a curve amounts to: worked cases, holds, drops, gaps, and what may never happen."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firings.cones import series
from firings.heatwork.bending import UnfitCurve, bending_of_pieces
from firings.heatwork.equivalent import Equivalent, equivalent
from firings.heatwork.kinetics import ladder, place_of
from firings.heatwork.predict import KilnFigures, pieces_of, predict
from firings.heatwork.uncertainty import Sensor
from firings.notice import said_in
from firings.programmes import segments
from firings.programmes.segments import Unit
from tests.published_tables import rows_of

CASES = rows_of("heatwork_cases.csv")
START_C = 22.0


def curve_of(programme: str, step_s: float = 60.0, *, cooled: float = 250.0) -> tuple[np.ndarray, np.ndarray]:
    """A programme as a log of the kiln, which then cools by itself at so many °C/h; nothing after it with nought."""
    pieces = pieces_of(segments.read(programme, start_c=START_C), KilnFigures(), START_C)
    hours = np.cumsum([0.0, *(piece.hours for piece in pieces)])
    temps = [START_C, *(piece.to_c for piece in pieces)]
    if cooled:
        hours, temps = np.append(hours, hours[-1] + (temps[-1] - 300) / cooled), [*temps, 300.0]
    times = np.append(np.arange(0, hours[-1] * 3600 - step_s / 10, step_s), hours[-1] * 3600)
    return times, np.interp(times, hours * 3600, temps)


def amount(programme: str, step_s: float = 60.0, **how) -> Equivalent:
    return equivalent(*curve_of(programme, step_s, **how))


@pytest.mark.parametrize("case", CASES, ids=[case["programme"] for case in CASES])
def test_worked_cases_as_programmes(case):
    found = predict(segments.read(case["programme"], start_c=START_C), start_c=START_C).equivalent

    step = found.with_cooling if case["with_cooling"] == "yes" else found.at_off
    assert step.number == pytest.approx(float(case["number"]), abs=0.02)


@pytest.mark.parametrize("case", CASES, ids=[case["programme"] for case in CASES])
def test_worked_cases_as_logs_taken_each_minute(case):
    found = equivalent(*curve_of(case["programme"], cooled=0))

    step = found.with_cooling if case["with_cooling"] == "yes" else found.at_off
    assert step.number == pytest.approx(float(case["number"]), abs=0.02)


@pytest.mark.parametrize("case", CASES, ids=[case["programme"] for case in CASES])
def test_worked_bending_of_the_near_cones(case):
    pieces = pieces_of(segments.read(case["programme"], start_c=START_C), KilnFigures(), START_C)
    bent = bending_of_pieces(ladder(), pieces)

    for pair in case["bending"].split():
        label, expected = pair.split("=")
        assert bent[place_of(series.order_of(label))] == pytest.approx(float(expected), abs=0.005)


def test_cooling_is_shown_apart():
    # The cone when the power goes off is the same however the kiln cools.
    quick, slow = amount("60:1222;500:1100"), amount("60:1222;60:1100")

    assert quick.at_off.number == pytest.approx(6.11, abs=0.03)
    assert slow.at_off.number == pytest.approx(6.11, abs=0.03)
    assert slow.with_cooling.number > quick.with_cooling.number + 0.8
    assert any("Cooling added 1.2 cone" in words for words in slow.warnings)


@pytest.mark.parametrize("noise_c", [0.0, 1.5])
@pytest.mark.parametrize("step_s", [1.0, 30.0, 120.0])
@pytest.mark.parametrize("hold_min", [0, 10, 45, 180])
def test_the_hold_is_found(hold_min, step_s, noise_c):
    times, temps = curve_of(f"60:1222:{hold_min}" if hold_min else "60:1222", step_s)
    temps = temps + np.random.default_rng(7).normal(0, noise_c, len(temps))

    assert equivalent(times, temps).held_min == pytest.approx(hold_min, abs=4 + step_s / 30)


@pytest.mark.parametrize(
    ("programme", "hold_min"),
    [
        ("60:1190:30,60:1222:10", 10),  # two-step top: only the last is at the top
        ("60:1222:10,300:1190:60", 10),  # a drop and a second hold: that belongs to cooling
        ("150:1228,300:1222:20", 21.2),  # overshoot of a few degrees belongs to the top
        ("60:1222:20,5:1214", 116),  # a top that sags slowly: 8 °C in 96 min
    ],
)
def test_tops_of_all_kinds_are_told(programme, hold_min):
    assert amount(programme).held_min == pytest.approx(hold_min, abs=5)


def test_a_hold_after_a_drop_counts_as_cooling():
    plain, dropped = amount("60:1222:10"), amount("60:1222:10,300:1190:60")

    assert dropped.at_off.number == pytest.approx(plain.at_off.number, abs=0.02)
    assert dropped.with_cooling.number > plain.with_cooling.number + 0.3


def test_a_time_noted_by_a_person_ends_the_top():
    times, temps = curve_of("60:1222:60")

    found = equivalent(times, temps, switched_off_s=20 * 3600 + 600.0)

    assert found.held_min == pytest.approx(10, abs=1)
    assert found.at_off.number == pytest.approx(6.65, abs=0.05)


def test_the_cone_of_a_cool_firing_is_not_made_up():
    found = amount("100:600")

    assert found.at_off.cone is None
    assert found.number is None
    assert any("Not even cone 019" in words for words in found.warnings)


def test_a_firing_hotter_than_the_series_is_at_least_14():
    found = amount("100:1450")

    assert found.at_off.cone.label == "14"
    assert found.at_off.toward_next == 0
    assert any("at least" in words for words in found.warnings)


@pytest.mark.parametrize(
    ("programme", "words"),
    [
        ("60:1222", None),
        ("15:1222", None),
        ("150:1222", None),
        ("250:1222", "extrapolated"),
        ("600:1222", "a rough guess"),
        ("5:1222", "a rough guess"),
    ],
)
def test_rates_outside_of_the_table_are_said(programme, words):
    said = " ".join(amount(programme).warnings)

    assert (words in said) if words else ("published table covers" not in said)


def test_a_log_that_ends_at_the_top_says_so():
    assert any("ends at the top" in words for words in amount("60:1222", cooled=0).warnings)


def test_a_gap_near_the_top_is_drawn_straight_said_and_widens_the_interval():
    times, temps = curve_of("60:1222")
    there = (times < 19.0 * 3600) | (times > 19.8 * 3600)

    whole, torn = equivalent(times, temps), equivalent(times[there], temps[there])

    assert torn.at_off.number == pytest.approx(whole.at_off.number, abs=0.02)
    assert any("Nothing was logged for 50 min" in words for words in torn.warnings)
    assert torn.number.high > whole.number.high
    assert torn.number.low < whole.number.low


def test_a_gap_that_may_hide_the_top_says_at_least():
    times, temps = curve_of("60:1222:30")
    there = (times < 19.0 * 3600) | (times > 21.5 * 3600)

    assert any("at least this" in words for words in equivalent(times[there], temps[there]).warnings)


def test_two_firings_in_one_log_are_not_added_up():
    _, temps = curve_of("60:1222", cooled=200)
    cold = np.linspace(300, 100, 400)
    both = np.concatenate([temps, cold, temps - 60])

    found = equivalent(np.arange(len(both)) * 60.0, both)

    assert found.at_off.number == pytest.approx(6.11, abs=0.03)
    assert any("more than one firing" in words for words in found.warnings)


def test_missing_figures_are_refused():
    times, temps = curve_of("60:1222")
    temps[5] = np.nan

    with pytest.raises(UnfitCurve, match="missing figures"):
        equivalent(times, temps)


def test_the_interval_holds_sensor_model_and_hold_rule():
    # A thermocouple 9 °C off at 1222 °C and steps of 17 to 36 °C between cones: about half a cone each way.
    plain, sure = amount("60:1222"), equivalent(*curve_of("60:1222"), sensor=Sensor(pm_c=1.0))

    assert plain.number.low == pytest.approx(5.8, abs=0.1)
    assert plain.number.high == pytest.approx(6.8, abs=0.2)
    assert plain.number.low < sure.number.low < sure.number.value < sure.number.high < plain.number.high
    assert "type K class 2" in plain.number.basis
    assert "published rule" in amount("60:1222:30").number.basis


def test_a_correction_moves_the_cone():
    curve = curve_of("60:1222")
    hotter = equivalent(*curve, sensor=Sensor(offset_c=10.0))

    assert hotter.at_off.number == pytest.approx(equivalent(curve[0], curve[1] + 10).at_off.number)
    assert hotter.peak_c == pytest.approx(1232, abs=0.1)


rates = st.floats(15, 150)
tops = st.floats(700, 1360)
holds = st.floats(0, 90)


def number_of(rate: float, top: float, hold: float) -> float:
    found = predict([segments.Segment(rate, top, hold)]).equivalent.at_off.number
    return -18.0 if found is None else found


@settings(deadline=None, max_examples=150)
@given(rates, tops, holds, st.floats(0, 60), st.floats(0, 60), st.floats(1, 3))
def test_more_time_or_heat_never_lowers_the_cone(rate, top, hold, more_c, more_min, slower):
    plain = number_of(rate, top, hold) - 1e-9

    assert number_of(rate, top + more_c, hold) >= plain
    assert number_of(rate, top, hold + more_min) >= plain
    assert number_of(rate / slower, top, hold) >= plain


@settings(deadline=None, max_examples=60)
@given(rates, tops, st.integers(0, 90), st.sampled_from([5.0, 20.0, 120.0]))
def test_how_often_it_was_logged_does_not_matter(rate, top, hold, step_s):
    programme = f"{rate:.1f}:{top:.1f}" + (f":{hold}" if hold else "")
    each_minute = equivalent(*curve_of(programme))
    # Samples miss the turn by up to a step: that moves the top by so much ramp or hold and no more.
    missed_c = 2 * rate * max(step_s, 60) / 3600 + 0.5

    other = equivalent(*curve_of(programme, step_s), sensor=Sensor(pm_c=missed_c))

    if each_minute.number and other.number:
        assert other.number.low - 0.05 <= each_minute.number.value <= other.number.high + 0.05


@settings(deadline=None, max_examples=60)
@given(rates, tops, st.integers(0, 60))
def test_the_unit_does_not_matter(rate, top, hold):
    in_celsius = f"{rate:.3f}:{top:.3f}:{hold}"
    in_fahrenheit = f"{rate * 1.8:.5f}F:{top * 1.8 + 32:.5f}F:{hold}"

    one, other = (predict(segments.read(text)).equivalent.at_off for text in (in_celsius, in_fahrenheit))

    assert (one.number or -18) == pytest.approx(other.number or -18, abs=0.001)


@settings(deadline=None, max_examples=60)
@given(st.lists(st.tuples(st.floats(0.1, 3), st.floats(20, 1350)), min_size=1, max_size=12))
def test_any_curve_gets_an_answer_whose_interval_holds_it(corners):
    hours = np.cumsum([0.0, *(step for step, _ in corners)])
    temps = [20.0, *(temp for _, temp in corners)]
    times = np.arange(0, hours[-1] * 3600, 120.0)

    found = equivalent(times, np.interp(times, hours * 3600, temps))

    assert 0 <= found.at_off.toward_next <= 1
    if found.number:
        assert found.number.low <= found.number.value <= found.number.high
        assert found.with_cooling.number >= found.number.value - 1e-9


corners_of_a_log = st.lists(st.tuples(st.floats(0.2, 4), st.floats(600, 1350)), min_size=1, max_size=6)


@settings(deadline=None, max_examples=80)
@given(corners_of_a_log, st.floats(0, 60), st.floats(1, 3))
def test_a_log_of_a_hotter_or_a_slower_kiln_never_reads_lower(corners, more_c, slower):
    hours = np.cumsum([0.0, *(step for step, _ in corners)])
    times = np.arange(0, hours[-1] * 3600 + 1, 60.0)
    temps = np.interp(times / 3600, hours, [20.0, *(temp for _, temp in corners)])
    plain, hotter, slow = (
        equivalent(*curve) for curve in ((times, temps), (times, temps + more_c), (times * slower, temps))
    )

    for more in (hotter, slow):
        assert (more.with_cooling.number or -18) >= (plain.with_cooling.number or -18) - 1e-6
    assert (hotter.at_off.number or -18) >= (plain.at_off.number or -18) - 0.02


@pytest.mark.parametrize("noted_h", [1.0, 15.0, 24.0, 1000.0, -3.0])
def test_a_noted_time_that_cannot_be_is_said_and_left(noted_h):
    times, temps = curve_of("60:1222:30")

    found = equivalent(times, temps, switched_off_s=noted_h * 3600)

    assert found.held_min == pytest.approx(30, abs=2)
    assert any("does not fit the log’s top" in words for words in found.warnings)


def test_warnings_speak_of_degrees_in_either_unit():
    (slow,) = (words for words in amount("5:1222").warnings if "published table" in words)

    assert str(slow) == (
        "The last 100 °C rose at 5.0 °C/h; the published table covers 15 °C/h to 150 °C/h, "
        "so the cone is a rough guess."
    )
    assert slow.words(Unit.FAHRENHEIT) == (
        "The last 180 °F rose at 9.0 °F/h; the published table covers 27 °F/h to 270 °F/h, "
        "so the cone is a rough guess."
    )
    assert said_in(amount("60:1222").number.basis, Unit.FAHRENHEIT) == (
        "sensor ±16 °F, the tolerance of type K class 2; model ±8.1 °F"
    )
