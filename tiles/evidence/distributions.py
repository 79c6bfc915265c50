"""The few distributions that intervals need: beta, Student's t, chi-square, binomial.

Sources: NIST Digital Library of Mathematical Functions, 8.17.22 (incomplete beta as a continued fraction), 8.11.4 and
8.9.2 (incomplete gamma), evaluated by Lentz's method; numbers of formulas from memory, unverified. The tests compare
every function with scipy.
"""

from collections.abc import Callable
from functools import lru_cache
from math import comb, exp, lgamma, log

TINY = 1e-300
CLOSE = 1e-15
MOST_TERMS = 10_000
FEW_TOSSES = 200


def beta_below(x: float, a: float, b: float) -> float:
    """The share of the beta distribution (a, b) that lies below x.

    >>> round(beta_below(0.5, 2, 3), 4)
    0.6875
    """
    if x <= 0 or x >= 1:
        return float(x >= 1)
    if x > (a + 1) / (a + b + 2):
        return 1 - beta_below(1 - x, b, a)
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log(1 - x)) / a
    return front * _beta_fraction(x, a, b)


def _beta_fraction(x: float, a: float, b: float) -> float:
    """The continued fraction of the incomplete beta function, by Lentz's method."""
    value = c = 1.0
    d = 1 / _apart_from_zero(1 - (a + b) * x / (a + 1))
    value = d
    for m in range(1, MOST_TERMS):
        for term in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1 / _apart_from_zero(1 + term * d)
            c = _apart_from_zero(1 + term / c)
            value *= d * c
        if abs(d * c - 1) < CLOSE:
            return value
    return value


def _apart_from_zero(number: float) -> float:
    return number if abs(number) > TINY else TINY


def beta_quantile(share: float, a: float, b: float) -> float:
    """Below which value that share of the beta distribution lies."""
    return _inverse(lambda x: beta_below(x, a, b), share, 0.0, 1.0)


def t_below(t: float, degrees: float) -> float:
    """The share of Student's t distribution below t."""
    tail = beta_below(degrees / (degrees + t * t), degrees / 2, 0.5) / 2
    return 1 - tail if t > 0 else tail


@lru_cache(maxsize=1024)
def t_quantile(share: float, degrees: float) -> float:
    """Below which t that share lies.

    >>> round(t_quantile(0.975, 9), 4)
    2.2622
    """
    if share < 0.5:
        return -t_quantile(1 - share, degrees)
    high = 1.0
    while t_below(high, degrees) < share and high < 1e9:
        high *= 2
    return _inverse(lambda t: t_below(t, degrees), share, 0.0, high)


def chi_square_below(x: float, degrees: float) -> float:
    """The share of the chi-square distribution below x."""
    return _gamma_below(degrees / 2, x / 2) if x > 0 else 0.0


def chi_square_quantile(share: float, degrees: float) -> float:
    """Below which value that share lies.

    >>> round(chi_square_quantile(0.975, 6), 3)
    14.449
    """
    high = degrees + 10.0
    while chi_square_below(high, degrees) < share and high < 1e9:
        high *= 2
    return _inverse(lambda x: chi_square_below(x, degrees), share, 0.0, high)


def _gamma_below(a: float, x: float) -> float:
    """The regularised lower incomplete gamma function: a series below a + 1, a continued fraction above."""
    front = exp(a * log(x) - x - lgamma(a))
    if x < a + 1:
        term = total = 1 / a
        for step in range(1, MOST_TERMS):
            term *= x / (a + step)
            total += term
            if term < total * CLOSE:
                break
        return front * total
    return 1 - front * _gamma_fraction(a, x)


def _gamma_fraction(a: float, x: float) -> float:
    b = x + 1 - a
    c, d = 1 / TINY, 1 / _apart_from_zero(b)
    value = d
    for step in range(1, MOST_TERMS):
        term = -step * (step - a)
        b += 2
        d = 1 / _apart_from_zero(term * d + b)
        c = _apart_from_zero(b + term / c)
        value *= d * c
        if abs(d * c - 1) < CLOSE:
            break
    return value


def even_chance_p(fewer: int, more: int) -> float:
    """How often chance alone, heads or tails, falls at least as unevenly: the two-sided exact p.

    >>> round(even_chance_p(2, 9), 4)
    0.0654
    """
    n, tail = fewer + more, min(fewer, more)
    if n <= FEW_TOSSES:
        return min(1.0, 2 * sum(comb(n, k) for k in range(tail + 1)) / 2**n) if n else 1.0
    # The same tail as an incomplete beta (NIST DLMF 8.17.5), where adding up large numbers would take long.
    return min(1.0, 2 * beta_below(0.5, n - tail, tail + 1))


def _inverse(rising: Callable[[float], float], wanted: float, low: float, high: float) -> float:
    """Where a rising function reaches a value: by the line between two ends, kept short (Illinois), else by halving.

    The step from memory, unverified: it only decides how soon the same end is reached.
    """
    below, above = rising(low) - wanted, rising(high) - wanted
    for step in range(200):
        middle = (low + high) / 2
        if step % 3 and above > below:
            middle = low - below * (high - low) / (above - below)
            middle = min(max(middle, low), high)
        if middle in (low, high):
            middle = (low + high) / 2
        if middle in (low, high) or high - low <= abs(high) * CLOSE:
            break
        found = rising(middle) - wanted
        if found < 0:
            low, below, above = middle, found, above / 2
        else:
            high, above, below = middle, found, below / 2
    return (low + high) / 2
