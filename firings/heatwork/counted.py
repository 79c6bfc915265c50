"""Which cone of the series a firing counts as: the reached one; between two cones, the one it was meant for.

Common practice, no source: who asks for cone 6 asks for ware that saw cone 6. A kiln seldom stops on the cone, so what
lies within a quarter of a cone of a whole one is that cone, whatever it was meant for. What lies between two says less
than what the firing was for: meant for cone 5 and half a cone over is a hot cone 5 and no cone 6, and what was meant
for cone 6 and came half a cone short is a cool cone 6.
"""

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from firings.cones import series
from firings.cones.series import Cone

# As near to a whole cone as this, in cones, it counts as that one.
THE_CONE_ITSELF = Decimal("0.25")


def counted_as(number: Decimal, target: Decimal | None) -> Cone:
    """The cone of the series that ware answers for.

    Parameters
    ----------
    number, target : what it reached and what it was meant for, None where none was noted; on the scale of whole cones

    >>> [counted_as(Decimal("5.6"), meant).label for meant in (Decimal(5), Decimal(6), None)]
    ['5', '6', '6']
    >>> [counted_as(Decimal("5.8"), meant).label for meant in (Decimal(5), Decimal(6), None)]
    ['6', '6', '6']
    """
    whole = series.nearest_whole(number)
    if target is None or abs(whole.number - number) <= THE_CONE_ITSELF:
        return whole
    low, high = (number.to_integral_value(way) for way in (ROUND_FLOOR, ROUND_CEILING))
    return series.nearest(target) if low <= target <= high else whole
