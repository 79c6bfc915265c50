"""The cone that a curve's heat work says."""

from decimal import Decimal
from typing import Any


def cone_said(heat: dict[str, Any]) -> Decimal | None:
    """The decimal cone of kept heat work, None where none was worked out from it.

    >>> cone_said({"interval": {"value": 5.7}}), cone_said({})
    (Decimal('5.70'), None)
    """
    interval = heat.get("interval")
    return Decimal(str(interval["value"])).quantize(Decimal("0.01")) if interval else None
