"""What one change does, all else equal, from pairs that differ in nothing else.

Numbers: the mean difference with Student's t interval, and beside it a bootstrap interval that asks for no bell shape.
Ordered words (glossy to dry): the sign test, exact. Flaws seen or not: McNemar's test, exact.
"""

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from firings.estimate import Estimate
from firings.vocabulary import Term
from tiles.evidence.distributions import even_chance_p, t_below, t_quantile
from tiles.evidence.proportions import CONFIDENCE

# The bar. Six pairs are the fewest from which a sign test can reach p below 0.05: six of six, p 0.031.
FEWEST_PAIRS = 6
CLEAR_P = 0.05
RESAMPLES = 4_000


class Verdict(Term):
    """How much the pairs say."""

    NOT_ENOUGH = "not_enough", "not enough to say"
    NO_CHANGE = "no_change", "no clear change"
    CLEAR = "clear", "clear"


def verdict(n: int, p: float) -> Verdict:
    """What `n` pairs with that p allow to say."""
    if n < FEWEST_PAIRS:
        return Verdict.NOT_ENOUGH
    return Verdict.CLEAR if p < CLEAR_P else Verdict.NO_CHANGE


@dataclass(frozen=True, slots=True)
class Change:
    """Figures before and after: the mean difference, and how easily chance alone makes one as large."""

    estimate: Estimate
    p: float
    differences: NDArray[np.float64]

    @property
    def bootstrap(self) -> Estimate:
        """The same mean with an interval that asks for no bell shape."""
        return bootstrap_mean(self.differences)

    @property
    def n(self) -> int:
        return self.estimate.n or 0

    @property
    def verdict(self) -> Verdict:
        return verdict(self.n, self.p)


def mean_change(differences: ArrayLike, confidence: float = CONFIDENCE) -> Change | None:
    """The mean of paired differences; None for fewer than two pairs, which tell nothing of the spread.

    Source: NIST/SEMATECH e-Handbook 7.3.1.1 (paired observations). Where all differences are equal the interval has no
    width, and p is 0 or 1.

    >>> round(mean_change([-1.2, -2.4, -1.3, -1.3, 0.0, -1.0, -1.8, -0.8, -4.6, -1.4]).p, 6)
    0.002833
    """
    values = np.asarray(differences, dtype=float)
    n = values.size
    if n < 2:
        return None
    mean, error = float(values.mean()), float(values.std(ddof=1)) / sqrt(n)
    half = t_quantile((1 + confidence) / 2, n - 1) * error
    estimate = Estimate.within(mean, half, n=n, basis="mean of paired differences, t interval 95 %")
    if error <= abs(mean) * 1e-12:
        return Change(estimate, float(mean == 0), values)
    p = 2 * t_below(-abs(mean / error), n - 1)
    return Change(estimate, p, values)


def bootstrap_mean(differences: ArrayLike, confidence: float = CONFIDENCE, *, seed: int = 1) -> Estimate:
    """The mean with the percentile interval of the bootstrap (Efron 1979); the same data give the same interval.

    How often each distinct value is drawn again is drawn at once (multinomially), which is the same and needs no
    resample to be laid out.

    Raises ValueError where there is nothing to take the mean of.
    """
    values = np.asarray(differences, dtype=float)
    if not values.size:
        raise ValueError("no differences")
    dice = np.random.default_rng(seed)
    found, counts = np.unique(values, return_counts=True)
    means = dice.multinomial(values.size, counts / values.size, RESAMPLES) @ found / values.size
    tail = (1 - confidence) / 2
    low, high = np.quantile(means, [tail, 1 - tail])
    return Estimate.spanning(
        float(values.mean()),
        float(low),
        float(high),
        n=int(values.size),
        basis="mean, bootstrap interval 95 %",
    )


@dataclass(frozen=True, slots=True)
class Signs:
    """In how many pairs something rose, fell or stayed; `p` by the sign test, pairs that stayed left out."""

    rose: int
    fell: int
    same: int

    @property
    def n(self) -> int:
        return self.rose + self.fell + self.same

    @property
    def p(self) -> float:
        """Exact and two-sided (Dixon and Mood 1946)."""
        return even_chance_p(min(self.rose, self.fell), max(self.rose, self.fell))

    @property
    def verdict(self) -> Verdict:
        return verdict(self.n, self.p)


def sign_test(differences: ArrayLike) -> Signs:
    """The signs of paired differences.

    >>> round(sign_test([-1, -1, -2, 1, -1, -3, -1, -1, -1, -1, 1]).p, 4)
    0.0654
    """
    values = np.asarray(differences, dtype=float)
    rose, fell = int((values > 0).sum()), int((values < 0).sum())
    return Signs(rose, fell, values.size - rose - fell)


@dataclass(frozen=True, slots=True)
class Appearing:
    """Of pairs: in how many a flaw stood on both sides, only before, only after, on neither."""

    both: int
    only_before: int
    only_after: int
    neither: int

    @property
    def n(self) -> int:
        return self.both + self.only_before + self.only_after + self.neither

    @property
    def p(self) -> float:
        """McNemar 1947, exact: whether appearing and vanishing are equally likely, two-sided."""
        return even_chance_p(min(self.only_before, self.only_after), max(self.only_before, self.only_after))

    @property
    def verdict(self) -> Verdict:
        return verdict(self.n, self.p)

    @property
    def difference(self) -> Estimate | None:
        """How much more often after than before, as a share of pairs; an interval after Agresti and Min 2005.

        Half a pair is added to each of the four counts (Stat. Med. 24:729; page from memory, unverified). None where
        there is no pair.
        """
        if not self.n:
            return None
        value = (self.only_after - self.only_before) / self.n
        n, after, before = self.n + 2, self.only_after + 0.5, self.only_before + 0.5
        middle = (after - before) / n
        half = 1.959964 * sqrt(after + before - (after - before) ** 2 / n) / n
        low, high = max(-1.0, middle - half), min(1.0, middle + half)
        return Estimate.spanning(value, low, high, n=self.n, basis="difference of paired shares, 95 %")


def mcnemar(before: ArrayLike, after: ArrayLike) -> Appearing:
    """Flaws before and after, pair by pair.

    >>> mcnemar([False] * 6 + [True], [True] * 7).p
    0.03125
    """
    was, is_ = np.asarray(before, dtype=bool), np.asarray(after, dtype=bool)
    return Appearing(
        both=int((was & is_).sum()),
        only_before=int((was & ~is_).sum()),
        only_after=int((is_ & ~was).sum()),
        neither=int((~was & ~is_).sum()),
    )
