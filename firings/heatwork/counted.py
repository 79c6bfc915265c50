"""Which cone a result answers for, when somebody asks for one: the reached one; between two cones, the one meant.

Common practice, no source: who asks for cone 6 asks for ware that saw cone 6. A kiln seldom stops on the cone, so what
lies within a quarter of a cone of a whole one is that cone, whatever it was meant for. What lies between two says less
than what the firing was for: meant for cone 5 and half a cone over is a hot cone 5 and no cone 6, and what was meant
for cone 6 and came half a cone short is a cool cone 6.
"""

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from functools import lru_cache

from firings.cones import series

# As near to a whole cone as this, in cones, it counts as that one.
THE_CONE_ITSELF = Decimal("0.25")


@lru_cache(maxsize=16_384)
def counted_as(number: Decimal, target: int | None) -> int:
    """The rank of the cone that ware answers for.

    Parameters
    ----------
    number : the reached cone on the scale of whole cones
    target : the rank of the cone it was meant for, None where none was noted

    >>> sixth, fifth = series.order_of("6"), series.order_of("5")
    >>> [series.label_of(counted_as(Decimal("5.6"), meant)) for meant in (fifth, sixth, None)]
    ['5', '6', '6']
    >>> [series.label_of(counted_as(Decimal("5.8"), meant)) for meant in (fifth, sixth, None)]
    ['6', '6', '6']
    """
    nearest = series.nearest_whole(number)
    if target is None or abs(nearest.number - number) <= THE_CONE_ITSELF:
        return nearest.order
    low, high = (number.to_integral_value(way) for way in (ROUND_FLOOR, ROUND_CEILING))
    return target if low <= series.of_order(target).number <= high else nearest.order
