"""Which of a firing's curves counts, and the cone it says."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any


def since(heat: dict[str, Any]) -> str:
    """From when a curve has counted; the latest counts."""
    return str(heat.get("counts_since", ""))


def counting_number(heats: Iterable[dict[str, Any]]) -> Decimal | None:
    """The decimal cone of the curve that counts, None where there is no curve or no cone was worked out from it.

    >>> early = {"counts_since": "2026-10-14T18:00", "interval": {"value": 5.7}}
    >>> counting_number([{"counts_since": "2026-10-15T09:00", "interval": {"value": 6.1}}, early])
    Decimal('6.10')
    """
    latest = max(heats, key=since, default={})
    interval = latest.get("interval")
    return Decimal(str(interval["value"])).quantize(Decimal("0.01")) if interval else None
