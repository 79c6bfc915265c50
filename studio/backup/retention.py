"""Which backups to keep: one a day for a week, one a week for five, one a month for a year; the newest always."""

from collections.abc import Callable, Iterable
from datetime import datetime

DAYS, WEEKS, MONTHS = 7, 5, 12


def kept(made: Iterable[datetime]) -> set[datetime]:
    """Of the moments backups were made, those whose files stay: of each day, week and month the last one.

    >>> days = [datetime(2026, 11, day) for day in range(1, 26)]
    >>> sorted(moment.day for moment in kept(days))
    [1, 8, 15, 19, 20, 21, 22, 23, 24, 25]
    """
    newest_first = sorted(made, reverse=True)
    return {
        *_last_of_each(newest_first, lambda moment: moment.strftime("%Y-%m-%d"), DAYS),
        *_last_of_each(newest_first, lambda moment: moment.strftime("%G-%V"), WEEKS),
        *_last_of_each(newest_first, lambda moment: moment.strftime("%Y-%m"), MONTHS),
    }


def _last_of_each(
    newest_first: list[datetime], period: Callable[[datetime], str], most: int
) -> list[datetime]:
    last: dict[str, datetime] = {}
    for moment in newest_first:
        last.setdefault(period(moment), moment)
    return list(last.values())[:most]
