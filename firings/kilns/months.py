"""A kiln's firings by month, and its elements' age."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

LAST_MONTHS = 12


@dataclass(frozen=True, slots=True)
class Fired:
    """One firing that is through: its day, hours from start to switching off, kWh and cost, each as far as known."""

    day: date
    hours: float | None = None
    energy_kwh: Decimal | None = None
    cost: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Month:
    """A month's firings. Sums are over the firings where the figure is known, None where it is for none."""

    first: date
    count: int
    hours: float | None
    energy_kwh: Decimal | None
    cost: Decimal | None
    without_energy: int


@dataclass(frozen=True, slots=True)
class Age:
    """The elements' age: firings and days since they were fitted."""

    firings: int
    days: int


def by_month(firings: Iterable[Fired], today: date) -> list[Month]:
    """The last twelve months, oldest first, months without a firing included.

    >>> [(month.first.month, month.count) for month in by_month([Fired(date(2026, 1, 9))], date(2026, 2, 1))[-2:]]
    [(1, 1), (2, 0)]
    """
    found: dict[date, list[Fired]] = defaultdict(list)
    for firing in firings:
        found[firing.day.replace(day=1)].append(firing)
    return [_month(first, found.get(first, [])) for first in _last_months(today)]


def _last_months(today: date) -> list[date]:
    count = today.year * 12 + today.month - 1
    return [date(month // 12, month % 12 + 1, 1) for month in range(count - LAST_MONTHS + 1, count + 1)]


def _month(first: date, firings: Sequence[Fired]) -> Month:
    hours = [firing.hours for firing in firings if firing.hours is not None]
    energy = [firing.energy_kwh for firing in firings if firing.energy_kwh is not None]
    cost = [firing.cost for firing in firings if firing.cost is not None]
    return Month(
        first,
        len(firings),
        sum(hours) if hours else None,
        sum(energy, Decimal(0)) if energy else None,
        sum(cost, Decimal(0)) if cost else None,
        len(firings) - len(energy),
    )


def age_of(fitted_on: date | None, firings: Iterable[Fired], today: date) -> Age | None:
    """How old the elements are; None where nobody noted when they were fitted.

    >>> age_of(date(2026, 1, 1), [Fired(date(2026, 1, 9)), Fired(date(2025, 12, 9))], date(2026, 1, 31))
    Age(firings=1, days=30)
    """
    if fitted_on is None:
        return None
    return Age(sum(firing.day >= fitted_on for firing in firings), (today - fitted_on).days)
