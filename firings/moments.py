"""A moment as a whole number, by which a change is named in an address or a hidden field and found again."""

from datetime import UTC, datetime, timedelta

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
TICK = timedelta(microseconds=1)


def mark_of(moment: datetime | None) -> int:
    """A moment as a whole number of microseconds; 0 for none.

    >>> moment_of(mark_of(datetime(2026, 10, 14, tzinfo=UTC))).year
    2026
    """
    return (moment - EPOCH) // TICK if moment else 0


def moment_of(mark: int) -> datetime:
    """The moment of a mark."""
    return EPOCH + mark * TICK
