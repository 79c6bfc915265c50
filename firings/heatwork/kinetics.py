"""How fast each cone bends at a temperature: the fitted coefficients, kept in numerically safe form.

A cone bends at the rate A·exp(-B/T), T in kelvin, and is done when its bending sums to one. A reaches e¹⁹⁸ in 1/h, so
what is kept is B = E/R and the end point on a plain 60 °C/h ramp; every rate is computed relative to that point.
"""

import csv
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

ZERO_C_IN_K = 273.15
# The rate of the ramp at which end points are kept.
BASE_RATE_C_PER_H = 60.0
# Below 019 the published table has two rates only: too thin to model.
LADDER_FROM_NUMBER = -18

# Terms of the continued fraction; six leave less than 1e-11 for B/T above 17, and cones have more.
_TERMS = 6


@dataclass(frozen=True, slots=True)
class Kinetics:
    """Coefficients of one or several cones, each field one figure a cone, coolest first.

    `order` is the rank in the series, `number` the decimal cone, `end_60_c` the end point at 60 °C/h by the model [°C],
    `b_k` the apparent activation energy over the gas constant [K]. `ln_a_per_h` follows: ln A, A in 1/h.
    """

    order: NDArray[np.int64]
    number: Array
    end_60_c: Array
    b_k: Array
    ln_a_per_h: Array = field(init=False)

    def __post_init__(self) -> None:
        ln_a = np.log(BASE_RATE_C_PER_H) - ln_ramp_integral(kelvin(self.end_60_c), self.b_k)
        object.__setattr__(self, "ln_a_per_h", ln_a)

    def __len__(self) -> int:
        return len(self.order)

    def only(self, which: NDArray[np.bool_] | slice) -> "Kinetics":
        """The chosen cones."""
        return Kinetics(self.order[which], self.number[which], self.end_60_c[which], self.b_k[which])


def kelvin(temp_c: ArrayLike) -> Array:
    """°C to K."""
    return np.asarray(temp_c, dtype=float) + ZERO_C_IN_K


def ln_ramp_integral(temp_k: Array, b_k: ArrayLike) -> Array:
    """ln G(T), G(T) = ∫₀ᵀ exp(-B/u) du = T·E₂(B/T), exact.

    E₂ is the exponential integral of order two, by its continued fraction (Abramowitz and Stegun, Handbook of
    Mathematical Functions, 5.1.22), summed from the far end. Valid for B/T above 17.

    Parameters
    ----------
    temp_k, b_k : temperature and B [K], of shapes that fit together
    """
    x = np.asarray(b_k, dtype=float) / temp_k
    fraction = x + 2.0 + 2.0 * _TERMS
    for k in range(_TERMS, 0, -1):
        fraction = x + 2.0 * k - k * (k + 1.0) / fraction
    ln_g: Array = np.log(temp_k) - x - np.log(fraction)
    return ln_g


def bending_per_h(kinetics: Kinetics, temp_c: Array) -> Array:
    """Bending rate [1/h] of each cone at each temperature: shape (temperatures, cones).

    >>> rate = bending_per_h(ladder(), np.array([1222.0]))[0, place_of(30)]
    >>> round(60 / float(rate), 1)   # held at 1222 °C, cone 6 is done in this many minutes
    23.9
    """
    rate: Array = kinetics.b_k / kelvin(temp_c)[..., np.newaxis]
    # in place: the table is large, and fresh memory for each step would cost as much as the sums
    np.subtract(kinetics.ln_a_per_h, rate, out=rate)
    return np.exp(rate, out=rate)


def read_coefficients(lines: list[str]) -> Kinetics:
    """Coefficients from the lines of kinetics.csv."""
    rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    return Kinetics(
        np.array([int(row["order"]) for row in rows]),
        np.array([float(row["cone_number"]) for row in rows]),
        np.array([float(row["end_60_c"]) for row in rows]),
        np.array([float(row["b_k"]) for row in rows]),
    )


@cache
def every_cone() -> Kinetics:
    """All 38 cones, half cones and the two-rate ones among them."""
    return read_coefficients((Path(__file__).parent / "kinetics.csv").read_text("utf-8").splitlines())


@cache
def ladder() -> Kinetics:
    """Whole cones from 019 to 14: the scale on which a firing is read."""
    cones = every_cone()
    return cones.only((cones.number >= LADDER_FROM_NUMBER) & (cones.number == np.round(cones.number)))


def place_of(order: int) -> int:
    """Where a cone stands in the ladder.

    Raises
    ------
    ValueError : the cone is not in the ladder
    """
    found = np.flatnonzero(ladder().order == order)
    if not len(found):
        raise ValueError("the scale of heat work has whole cones from 019 to 14 only")
    return int(found[0])
