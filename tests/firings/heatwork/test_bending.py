"""How far cones bend: exact on straight pieces, the same from a log however often it was taken."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate

from firings.cones import series
from firings.heatwork import bending
from firings.heatwork.bending import Piece, UnfitCurve
from firings.heatwork.fit import published
from firings.heatwork.kinetics import bending_per_h, every_cone, ladder, ln_ramp_integral, place_of
from firings.heatwork.ladder import excess_c, number_at

SIX = place_of(30)


def quadrature(function, low: float, high: float, *, points: list[float] | None = None) -> float:
    """By scipy's adaptive quadrature (QUADPACK): an integrator that shares nothing with ours."""
    integral, error = integrate.quad(function, low, high, points=points, epsabs=0, epsrel=1e-11, limit=500)
    assert error < 1e-9 * abs(integral)
    return integral


@pytest.mark.parametrize("b_k", [30423.0, 84507.0, 188165.0])
@pytest.mark.parametrize("temp_k", [900.0, 1273.15, 1493.45, 1700.0])
def test_the_ramp_integral_agrees_with_quadrature(b_k, temp_k):
    # relative to exp(-B/T), which underflows for the stiffest cones
    integral = quadrature(lambda u: np.exp(b_k / temp_k - b_k / u), temp_k / 3, temp_k)

    assert ln_ramp_integral(np.array(temp_k), b_k) + b_k / temp_k == pytest.approx(np.log(integral), abs=1e-9)


@pytest.mark.parametrize(
    "cone", [cone for cone in series.cones() if cone.is_whole and cone.order >= 4], ids=lambda c: c.label
)
def test_every_published_end_point_is_met_by_a_ramp(cone):
    """Ramps of 15, 60 and 150 °C/h to the chart's end point of the whole cones from 019 to 14: all 99 cone and rates.

    Measured: the model misses the chart by 1.06 °C in the mean and 3.76 °C at most (cone 14 at 60 °C/h); read as
    a decimal cone by 0.062 in the mean and 0.273 at most (cone 7 at 60 °C/h). Source of the end points: Orton
    Foundation, chart for cones 022 to 14, 2016 issue, self-supporting cones.
    """
    rates, ends_c = published(cone)

    numbers = [
        number_at(excess_c(bending.bending_of_pieces(ladder(), [Piece(22.0, end, (end - 22.0) / rate)])))
        for rate, end in zip(rates, ends_c, strict=True)
    ]

    assert numbers == pytest.approx([float(cone.number)] * 3, abs=0.28)


def test_end_points_are_met_closely_in_the_mean():
    missed = []
    for cone in series.cones():
        if cone.is_whole and cone.order >= 4:
            for rate, end in zip(*published(cone), strict=True):
                bent = bending.bending_of_pieces(ladder(), [Piece(22.0, end, (end - 22.0) / rate)])
                missed.append(abs(number_at(excess_c(bent)) - float(cone.number)))

    assert len(missed) == 99
    assert np.mean(missed) == pytest.approx(0.062, abs=0.002)


ONE_BY_ONE = [ladder().only(slice(place, place + 1)) for place in range(len(ladder()))]


@pytest.mark.parametrize("rate", [15.0, 60.0, 150.0])
def test_ramps_of_every_cone_agree_with_quadrature(rate):
    exact = bending.bending_of_ramp(ladder(), 22.0, 1300.0, 1278.0 / rate)

    for cone, found in zip(ONE_BY_ONE, exact, strict=True):
        # where one degree is much to a cone, the quadrature needs to be told where to look
        near = [1200.0, 1290.0]
        integral = quadrature(
            lambda temp, cone=cone: float(bending_per_h(cone, np.array(temp))[0]), 22, 1300, points=near
        )
        assert found == pytest.approx(integral / rate, rel=1e-9)


def smooth_firing_c(hours: float) -> float:
    """A firing without a straight piece: rises in an S, leans over its top, sinks like a kiln losing its heat."""
    rise = 1222 / (1 + np.exp(-(hours - 4.5) / 1.1))
    return float(20 + rise * np.exp(-max(hours - 9.5, 0.0) / 6))


@pytest.mark.parametrize("step_s", [1.0, 10.0, 60.0])
def test_a_smooth_curve_agrees_with_quadrature(step_s):
    hours = np.arange(0, 14.0001, step_s / 3600)
    found = bending.bending_of_curve(
        ladder(), hours * 3600, np.array([smooth_firing_c(hour) for hour in hours])
    )

    for cone, bent in zip(ONE_BY_ONE, found, strict=True):
        integral = quadrature(
            lambda hour, cone=cone: float(bending_per_h(cone, np.array(smooth_firing_c(hour)))[0]),
            4.0,
            14.0,
            points=[8.0, 9.5, 11.0],
        )
        # what is 300 °C cooler than the top is left out, and temperatures are gathered in classes of one degree
        assert bent == pytest.approx(integral, rel=0.002)


@settings(deadline=None, max_examples=30)
@given(
    st.lists(st.tuples(st.floats(0.2, 3), st.floats(700, 1320)), min_size=2, max_size=6),
    st.sampled_from([8, 14, 20, 30]),
)
def test_any_course_in_straight_pieces_agrees_with_quadrature(corners, place):
    hours = np.cumsum([0.0, *(step for step, _ in corners)])
    temps = np.array([20.0, *(temp for _, temp in corners)])
    pieces = [
        Piece(*two, step) for two, step in zip(pairwise(temps.tolist()), np.diff(hours).tolist(), strict=True)
    ]
    found = bending.bending_of_pieces(ONE_BY_ONE[place], pieces)[0]

    integral = sum(
        quadrature(
            lambda hour, here=here: float(
                bending_per_h(ONE_BY_ONE[place], np.interp(hour, [0, here.hours], [here.from_c, here.to_c]))[
                    0
                ]
            ),
            0,
            here.hours,
        )
        for here in pieces
    )
    assert found == pytest.approx(integral, rel=1e-6)


def test_falling_bends_as_much_as_rising():
    up = bending.bending_of_ramp(ladder(), 900.0, 1222.0, 2.0)

    assert bending.bending_of_ramp(ladder(), 1222.0, 900.0, 2.0) == pytest.approx(up)


def test_a_hold_is_the_rate_times_the_hours():
    held = bending.bending_of_pieces(ladder(), [Piece(1222.0, 1222.0, 0.5)])

    assert held == pytest.approx(bending_per_h(ladder(), np.array(1222.0)) * 0.5)


def test_a_nearly_flat_piece_agrees_with_a_hold():
    flat = bending.bending_of_pieces(ladder(), [Piece(1222.0, 1222.02, 0.5)])[SIX]
    held = bending.bending_of_pieces(ladder(), [Piece(1222.01, 1222.01, 0.5)])[SIX]

    assert flat == pytest.approx(held, rel=1e-5)


def logged(step_s: float) -> tuple[np.ndarray, np.ndarray]:
    times = np.arange(0, 24 * 3600 + 1.0, step_s)
    return times, np.interp(times / 3600, [0, 20, 20.25, 24], [22, 1222, 1222, 500])


@pytest.mark.parametrize("step_s", [1.0, 5.0, 30.0, 60.0, 300.0, 900.0])
def test_a_log_says_what_its_straight_pieces_say(step_s):
    pieces = [Piece(22, 1222, 20.0), Piece(1222, 1222, 0.25), Piece(1222, 500, 3.75)]
    exact = bending.bending_of_pieces(every_cone(), pieces)

    found = bending.bending_of_curve(every_cone(), *logged(step_s))

    near = slice(27, 33)  # cones 5 to 9, half cones among them
    assert found[near] == pytest.approx(exact[near], rel=2e-4)
    assert found == pytest.approx(exact, rel=5e-3)


def test_bending_adds_up_along_the_log():
    times, temps = logged(60.0)
    near = ladder().only(slice(SIX, SIX + 2))

    rate = bending.bending_per_h(near, temps)
    pieces = (rate[1:] + rate[:-1]) * np.diff(times)[:, np.newaxis] / (2 * 3600)

    assert (pieces >= 0).all()
    assert pieces.sum(axis=0) == pytest.approx(bending.bending_of_curve(near, times, temps), rel=1e-3)


def test_parts_of_a_log_make_the_whole():
    times, temps = logged(60.0)

    parts = bending.sum_in_parts(ladder(), times, temps, (1000, 1215))

    assert sum(parts)[SIX] == pytest.approx(bending.bending_of_curve(ladder(), times, temps)[SIX], rel=1e-4)


@pytest.mark.parametrize(
    ("times", "temps", "words"),
    [
        ([0.0], [20.0], "two points"),
        ([0.0, 60.0], [20.0], "one temperature for each time"),
        ([0.0, 60.0], [20.0, np.nan], "missing figures"),
        ([0.0, np.inf], [20.0, 30.0], "missing figures"),
        ([0.0, 60.0, 60.0], [20.0, 30.0, 40.0], "goes back after 60 s"),
        ([0.0, 60.0, 30.0], [20.0, 30.0, 40.0], "goes back after 60 s"),
        ([0.0, 3600.0, 9000.0], [1000.0, 1100.0, 1222.0], "Nothing was logged for 60 min"),
    ],
)
def test_what_cannot_be_summed_is_refused_in_words(times, temps, words):
    with pytest.raises(UnfitCurve, match=words):
        bending.bending_of_curve(ladder(), np.array(times), np.array(temps))


def test_a_gap_in_the_cold_part_does_not_matter():
    times, temps = logged(60.0)
    there = (temps > 400) | (temps < 100)

    found = bending.bending_of_curve(ladder(), times[there], temps[there])

    assert found[SIX] == pytest.approx(bending.bending_of_curve(ladder(), times, temps)[SIX], rel=1e-6)


@settings(deadline=None, max_examples=50)
@given(st.floats(500, 1400), st.floats(1, 200), st.floats(0.1, 20))
def test_hotter_or_longer_never_bends_less(temp, more_c, hours):
    held = bending.bending_of_pieces(ladder(), [Piece(temp, temp, hours)])

    assert (bending.bending_of_pieces(ladder(), [Piece(temp + more_c, temp + more_c, hours)]) > held).all()
    assert (bending.bending_of_pieces(ladder(), [Piece(temp, temp, hours * 1.01)]) > held).all()
