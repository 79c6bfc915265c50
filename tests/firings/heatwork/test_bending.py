"""How far cones bend: exact on straight pieces, the same from a log however often it was taken."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firings.cones import series
from firings.heatwork import bending
from firings.heatwork.bending import Piece, UnfitCurve
from firings.heatwork.fit import published
from firings.heatwork.kinetics import bending_per_h, every_cone, ladder, ln_ramp_integral, place_of
from firings.heatwork.ladder import excess_c, number_at

SIX = place_of(30)


def gauss(function, low: float, high: float, parts: int = 400) -> float:
    """Quadrature by Gauss and Legendre, eight points to a part."""
    nodes, weights = np.polynomial.legendre.leggauss(8)
    edges = np.linspace(low, high, parts + 1)
    half = (edges[1:] - edges[:-1]) / 2
    points = edges[:-1, np.newaxis] + half[:, np.newaxis] * (nodes + 1)
    return float((function(points) * weights * half[:, np.newaxis]).sum())


@pytest.mark.parametrize("b_k", [30423.0, 84507.0, 188165.0])
@pytest.mark.parametrize("temp_k", [900.0, 1273.15, 1493.45, 1700.0])
def test_the_ramp_integral_agrees_with_quadrature(b_k, temp_k):
    # relative to exp(-B/T), which underflows for the stiffest cones
    integral = gauss(lambda u: np.exp(b_k / temp_k - b_k / u), temp_k / 3, temp_k, 2000)

    assert ln_ramp_integral(np.array(temp_k), b_k) + b_k / temp_k == pytest.approx(np.log(integral), abs=1e-9)


@pytest.mark.parametrize(
    "cone", [cone for cone in series.cones() if cone.is_whole and cone.order >= 4], ids=lambda c: c.label
)
def test_every_published_end_point_is_met_by_a_ramp(cone):
    """Ramps of 15, 60 and 150 °C/h to the chart's end point of the whole cones from 019 to 14: all 99 cone and rates.

    Measured: the model misses the chart by 1.04 °C in the mean and 3.76 °C at most (cone 14 at 60 °C/h); read as
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


def test_a_ramp_agrees_with_quadrature():
    exact = bending.bending_of_ramp(ladder(), 22.0, 1222.0, 20.0)[SIX]
    by_quadrature = (
        gauss(lambda temp: bending_per_h(ladder().only(slice(SIX, SIX + 1)), temp)[..., 0], 22.0, 1222.0) / 60
    )

    assert exact == pytest.approx(by_quadrature, rel=1e-9)


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

    along = bending.accumulated(near, times, temps)

    assert (np.diff(along, axis=0) >= 0).all()
    assert along[-1] == pytest.approx(bending.bending_of_curve(near, times, temps), rel=1e-3)


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
