"""The bending coefficients are the fit of the published end points, and what they miss is known."""

from pathlib import Path

import numpy as np
import pytest

from firings.cones import series
from firings.heatwork import fit
from firings.heatwork.kinetics import every_cone, ladder

KEPT = (Path(fit.__file__).parent / "kinetics.csv").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def fits() -> list[fit.Fit]:
    return [fit.fit_cone(cone) for cone in series.cones()]


def test_a_new_fit_gives_the_kept_coefficients(fits):
    kept, new = every_cone(), fits

    assert kept.end_60_c == pytest.approx([one.end_60_c for one in new], abs=1e-3)
    assert kept.b_k == pytest.approx([one.b_k for one in new], rel=1e-6)


def test_the_kept_file_is_what_the_fit_writes(fits, tmp_path):
    fit.write(tmp_path / "kinetics.csv")

    written = (tmp_path / "kinetics.csv").read_text(encoding="utf-8")
    assert written.splitlines()[:6] == KEPT.splitlines()[:6]
    assert len(written.splitlines()) == len(KEPT.splitlines())


def test_the_kept_file_names_its_source():
    assert "Orton Foundation, chart for\n# cones 022 to 14, 2016 issue" in KEPT


def test_what_the_model_misses_is_known(fits):
    # Residuals of an independent fit to the same end points: root mean square 1.30 °C, worst 3.8 °C at cone 14.
    missed = {
        (one.cone.label, rate): left
        for one in fits
        if len(one.residuals_c) == 3
        for rate, left in one.residuals_c.items()
    }

    assert len(missed) == 3 * 35
    whole = [abs(left) for (label, _), left in missed.items() if "½" not in label]
    assert len(whole) == 99
    assert np.mean(whole) == pytest.approx(1.06, abs=0.01)
    assert np.sqrt(np.mean(np.square(list(missed.values())))) == pytest.approx(1.30, abs=0.01)
    assert max(missed, key=lambda key: abs(missed[key])) == ("14", 60.0)
    assert missed["14", 60.0] == pytest.approx(3.763, abs=0.005)


@pytest.mark.parametrize(
    ("label", "ln_a", "b_k"),
    # The same independent fit.
    [
        ("06", 91.312, 114331),
        ("04", 98.959, 130321),
        ("6", 57.442, 84507),
        ("10", 64.632, 99178),
        ("019", 55.228, 51371),
    ],
)
def test_coefficients_agree_with_an_independent_fit(label, ln_a, b_k):
    place = series.order_of(label) - 1

    assert every_cone().ln_a_per_h[place] == pytest.approx(ln_a, abs=0.01)
    assert every_cone().b_k[place] == pytest.approx(b_k, rel=1e-4)


def test_two_published_rates_are_met_exactly_and_prove_nothing(fits):
    for one in fits[:3]:
        assert list(one.residuals_c.values()) == pytest.approx([0, 0], abs=1e-6)


@pytest.mark.parametrize("rate", [8.0, 15.0, 60.0, 150.0, 300.0, 600.0])
def test_end_points_rise_along_the_ladder_at_every_rate(rate):
    cones = ladder()
    ends = [fit.end_point_c(*one, np.array([rate]))[0] for one in zip(cones.end_60_c, cones.b_k, strict=True)]

    assert (np.diff(ends) > 0).all()


def test_the_ladder_has_whole_cones_from_019():
    assert [series.label_of(order) for order in ladder().order][:2] == ["019", "018"]
    assert len(ladder()) == 38 - 3 - 2
    assert all(series.of_order(int(order)).is_whole for order in ladder().order)
