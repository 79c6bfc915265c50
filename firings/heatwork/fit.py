"""Fit of the bending coefficients to the published end points; `python -m firings.heatwork.fit` writes kinetics.csv.

Per cone two figures, the end point at 60 °C/h and B = E/R, are found by least squares on the end-point temperature in
°C at the published rates (15, 60, 150 °C/h), with the exact ramp integral. Where three rates are published one degree
of freedom is left, so the residuals test the model: root mean square 1.30 °C over 35 cones, worst 3.8 °C (cone 14).

Ramps at the three rates to the chart's end points, all 99 of the 33 whole cones from 019 to 14, come back as their cone
within 0.062 cone in the mean and 0.27 at most (cone 7 at 60 °C/h), which is 1.06 °C in the mean and 3.8 °C at most. The
chart itself says that a cone bends over a range of up to 22 °C.

Tried and not kept, each measured by leaving one rate out and predicting it: drawing ln B towards its two neighbours in
the series predicts the left-out 15 °C/h end point better (root mean square 6.7 to 5.3 °C) and 150 °C/h too (4.7 to
3.2 °C), but 60 °C/h no better (2.77 to 2.80 °C) and fits the table worse (1.30 to 1.47 °C): within the published rates,
where firings lie, nothing is gained. One B for a whole group of cones leaves 2.8 to 6.6 °C. A third figure a cone would
meet all three end points and test nothing.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from firings.cones.series import Cone, cones
from firings.heatwork.kinetics import BASE_RATE_C_PER_H, ZERO_C_IN_K, Array, kelvin, ln_ramp_integral

PUBLISHED_RATES_C_PER_H = (15.0, 60.0, 150.0)

HEADER = """\
# How each cone bends: end point on a plain 60 °C/h ramp by the model [°C] and B = E/R [K].
# Source: fitted by firings/heatwork/fit.py to the end points in firings/cones/cones.csv (Orton Foundation, chart for
# cones 022 to 14, 2016 issue). res_*: model minus table [°C]; blank where the chart publishes no figure.
# 022, 021 and 020 have two published rates: their zero residual proves nothing, and they are left out of the ladder.
cone,order,cone_number,end_60_c,b_k,res_15,res_60,res_150"""


@dataclass(frozen=True, slots=True)
class Fit:
    """One cone's fitted coefficients and what they leave at each published rate [°C], model minus table."""

    cone: Cone
    end_60_c: float
    b_k: float
    residuals_c: dict[float, float]


def end_point_c(end_60_c: float, b_k: float, rates_c_per_h: Array) -> Array:
    """End points [°C] of one cone on plain ramps, by Newton's method on ln G(T) - ln(rate).

    >>> end_point_c(1220.0, 84500.0, np.array([60.0]))
    array([1220.])
    """
    wanted = ln_ramp_integral(kelvin(end_60_c), b_k) + np.log(rates_c_per_h / BASE_RATE_C_PER_H)
    temp_k = np.full_like(rates_c_per_h, kelvin(end_60_c))
    for _ in range(20):
        ln_g = ln_ramp_integral(temp_k, b_k)
        temp_k = temp_k - (ln_g - wanted) / np.exp(-b_k / temp_k - ln_g)
    return temp_k - ZERO_C_IN_K


def published(cone: Cone) -> tuple[Array, Array]:
    """Rates [°C/h] and end points [°C] the chart has for a cone."""
    pairs = zip(PUBLISHED_RATES_C_PER_H, (cone.c_15, cone.c_60, cone.c_150), strict=True)
    known = [(rate, float(temp)) for rate, temp in pairs if temp is not None]
    return np.array([rate for rate, _ in known]), np.array([temp for _, temp in known])


def first_guess(rates: Array, temps_c: Array) -> Array:
    """End point at 60 °C/h and ln B from the slowest and the fastest end point (Kissinger's slope)."""
    slope = np.log(rates[-1] / rates[0]) / (temps_c[-1] - temps_c[0])
    end_60_c = np.interp(BASE_RATE_C_PER_H, rates, temps_c)
    return np.array([end_60_c, np.log(slope * kelvin(end_60_c) ** 2)])


def least_squares(residuals: Callable[[Array], Array], start: Array, step: float = 1e-4) -> Array:
    """Gauss and Newton's method; derivatives by differences."""
    found = start
    for _ in range(50):
        here = residuals(found)
        slopes = [(residuals(found + nudge) - here) / step for nudge in np.eye(len(start)) * step]
        move = np.linalg.lstsq(np.array(slopes).T, here, rcond=None)[0]
        found = found - move
        if np.abs(move).max() < 1e-10:
            break
    return found


def fit_cone(cone: Cone) -> Fit:
    """The coefficients that miss the chart's end points least."""
    rates, temps_c = published(cone)

    def misses(guess: Array) -> Array:
        return end_point_c(guess[0], np.exp(guess[1]), rates) - temps_c

    found = least_squares(misses, first_guess(rates, temps_c))
    left = dict(zip(rates.tolist(), misses(found).tolist(), strict=True))
    return Fit(cone, float(found[0]), float(np.exp(found[1])), left)


def as_row(fit: Fit) -> str:
    known = {rate: round(left, 3) + 0.0 for rate, left in fit.residuals_c.items()}
    left = [f"{known[rate]:.3f}" if rate in known else "" for rate in PUBLISHED_RATES_C_PER_H]
    cone = fit.cone
    return ",".join(
        [cone.label, str(cone.order), str(cone.number), f"{fit.end_60_c:.4f}", f"{fit.b_k:.2f}", *left]
    )


def as_csv(fits: Iterable[Fit]) -> str:
    """The text of kinetics.csv."""
    return "\n".join([HEADER, *(as_row(fit) for fit in fits)]) + "\n"


def write(path: Path) -> None:
    """Fit every cone of the series anew and keep the coefficients."""
    path.write_text(as_csv(fit_cone(cone) for cone in cones()), encoding="utf-8")


if __name__ == "__main__":
    write(Path(__file__).parent / "kinetics.csv")
