"""A figure with its interval, how many observations stand behind it, and what it rests on."""

from dataclasses import dataclass
from typing import Self


@dataclass(frozen=True, slots=True)
class Estimate:
    """A figure as it should be shown: never without its interval and its basis.

    `low` and `high` enclose the value; `n` is the number of observations, None where it does not rest on counting.

    Raises
    ------
    ValueError : the interval does not enclose the value, or n is below nothing
    """

    value: float
    low: float
    high: float
    n: int | None
    basis: str

    def __post_init__(self) -> None:
        if not self.low <= self.value <= self.high:
            raise ValueError(f"an interval of {self.low} to {self.high} does not enclose {self.value}")
        if self.n is not None and self.n < 0:
            raise ValueError(f"{self.n} observations cannot be")

    @classmethod
    def within(cls, value: float, spread: float, *, basis: str, n: int | None = None) -> Self:
        """A value give or take `spread`.

        >>> Estimate.within(6.0, 0.5, basis="sensor").low
        5.5
        """
        return cls(value, value - spread, value + spread, n, basis)

    @classmethod
    def spanning(cls, value: float, *others: float, basis: str, n: int | None = None) -> Self:
        """A value in a band that takes in all others.

        >>> Estimate.spanning(18.0, 20.0, 12.0, basis="two models").high
        20.0
        """
        return cls(value, min(value, *others), max(value, *others), n, basis)

    def times(self, factor: float) -> Self:
        """The same in another unit or at a price; the factor is not negative."""
        return type(self)(self.value * factor, self.low * factor, self.high * factor, self.n, self.basis)
