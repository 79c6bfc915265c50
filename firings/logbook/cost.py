"""What a firing's energy costs."""

from decimal import ROUND_HALF_UP, Decimal


def energy_cost(energy_kwh: Decimal | None, price_per_kwh: Decimal | None) -> Decimal | None:
    """Energy times price, to the hundredth; None where either is not known.

    >>> energy_cost(Decimal("42.5"), Decimal("0.31"))
    Decimal('13.18')
    """
    if energy_kwh is None or price_per_kwh is None:
        return None
    return (energy_kwh * price_per_kwh).quantize(Decimal("0.01"), ROUND_HALF_UP)
