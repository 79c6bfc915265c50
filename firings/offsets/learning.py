"""What a kiln had shown of its sensor before a firing.

A firing is judged by what was known before it: by earlier firings only, never by itself, and by their curves as the
sensor read. So no correction rests on another, and a later firing moves no earlier result.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from firings.curves.summing import plain_correction
from firings.heatwork.correction import LAST_FIRINGS, KilnOffset, counted_offset

# A firing without a start comes after all that have one.
_LAST = datetime.max.replace(tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Moment:
    """Where a firing stands in its kiln's history."""

    at: datetime | None
    firing_id: int

    @property
    def order(self) -> tuple[datetime, int]:
        return self.at or _LAST, self.firing_id


@dataclass(frozen=True, slots=True)
class Pair:
    """A firing with both: the decimal cone by its witness cones, and by its curve uncorrected."""

    moment: Moment
    witness: float
    curve: float

    @property
    def numbers(self) -> tuple[float, float]:
        return self.witness, self.curve


def offset_before(pairs: Sequence[Pair], moment: Moment) -> KilnOffset | None:
    """The correction that a firing's curve gets; None where too few firings came before.

    Parameters
    ----------
    pairs : of one kiln, oldest first

    >>> day = datetime(2026, 3, 1, tzinfo=UTC)
    >>> pairs = [Pair(Moment(day + timedelta(days=n), n), 6.0, 5.5) for n in range(4)]
    >>> offset_before(pairs, Moment(day + timedelta(days=3), 3)).offset_c.n
    3
    >>> offset_before(pairs, Moment(day + timedelta(days=2), 2)) is None
    True
    """
    end = bisect_left(pairs, moment.order, key=lambda pair: pair.moment.order)
    return counted_offset([pair.numbers for pair in pairs[max(end - LAST_FIRINGS, 0) : end]])


def told_off_s(ended_at: datetime | None, log_began_at: datetime | None) -> float | None:
    """When the power went off, in seconds after the log's beginning, where both were noted."""
    if ended_at is None or log_began_at is None:
        return None
    return (ended_at - log_began_at) / timedelta(seconds=1)


@dataclass(frozen=True, slots=True)
class Footing:
    """What a curve's figures rest on as they stand, and what is told of switching off by now [s]."""

    curve_id: int
    moment: Moment
    told_off_s: float | None
    kept_told_off_s: float | None
    kept_correction: dict[str, Any] | None

    def is_true(self, pairs: Sequence[Pair]) -> bool:
        """Whether the figures rest on what is known."""
        correction = plain_correction(offset_before(pairs, self.moment))
        return self.told_off_s == self.kept_told_off_s and correction == self.kept_correction
