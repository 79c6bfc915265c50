"""Shares with their intervals."""

from statistics import NormalDist

from firings.estimate import Estimate
from tiles.evidence.distributions import beta_quantile

CONFIDENCE = 0.95


def wilson(found: int, n: int, confidence: float = CONFIDENCE) -> Estimate:
    """A share with Wilson's interval, which keeps its promise for few and for shares near 0 and 1.

    Source: Wilson 1927; NIST/SEMATECH e-Handbook 7.2.4.1. Raises ValueError where nothing was looked at.

    >>> share = wilson(81, 263)
    >>> round(share.low, 4), round(share.high, 4)
    (0.2553, 0.3662)
    """
    _check(found, n)
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    share = found / n
    middle = (share + z * z / (2 * n)) / (1 + z * z / n)
    half = z * (share * (1 - share) / n + z * z / (4 * n * n)) ** 0.5 / (1 + z * z / n)
    low, high = max(0.0, middle - half), min(1.0, middle + half)
    return Estimate(share, min(low, share), max(high, share), n, "share, Wilson interval 95 %")


def exact(found: int, n: int, confidence: float = CONFIDENCE) -> Estimate:
    """A share with the exact interval of Clopper and Pearson 1934, never too narrow.

    Source: NIST/SEMATECH e-Handbook 7.2.4.2.

    >>> share = exact(4, 20, 0.90)
    >>> round(share.low, 6), round(share.high, 6)
    (0.071354, 0.401028)
    """
    _check(found, n)
    tail = (1 - confidence) / 2
    low = beta_quantile(tail, found, n - found + 1) if found else 0.0
    high = beta_quantile(1 - tail, found + 1, n - found) if found < n else 1.0
    return Estimate(found / n, low, high, n, f"share, exact interval {confidence:.0%}")


def _check(found: int, n: int) -> None:
    if not 0 <= found <= n or not n:
        raise ValueError(f"{found} of {n} is no share")
