"""What witness cones say: the decimal cone read from how far each has bent."""

from collections.abc import Iterable
from decimal import Decimal

from firings.cones import series

# A cone is done when its tip is level with its base (published chart of end points).
DONE_DEG = 90
# Below this a cone has hardly begun to move and says only "not yet" (common practice, no source).
MOVED_DEG = 10


def decimal_cone(readings: Iterable[tuple[int, int]]) -> Decimal | None:
    """The decimal cone of one or more cones in one place.

    Parameters
    ----------
    readings : (order of the cone, bend in degrees) for each cone that was read

    The hottest cone that is done counts whole; a hotter one part-way down adds its share of 90°. Between first
    movement and the end point no relation is published: the linear share is a fair guess, to be marked as such.
    A lone cone part-way down is read as that share of the step up from the cone below it. None where no cone moved.

    >>> decimal_cone([(28, 90), (30, 72), (31, 5)])
    Decimal('5.8')
    >>> decimal_cone([(30, 45)])
    Decimal('5.5')
    """
    moved = [(series.of_order(order), bend) for order, bend in sorted(readings) if bend >= MOVED_DEG]
    done = [cone.number for cone, bend in moved if bend >= DONE_DEG]
    going = [(cone, bend) for cone, bend in moved if bend < DONE_DEG and (not done or cone.number > done[-1])]
    if not going:
        return done[-1] if done else None
    cone, bend = going[0]
    below = done[-1] if done else cone.number - 1
    share = Decimal(bend) / DONE_DEG
    return (below + (cone.number - below) * share).quantize(Decimal("0.01")).normalize() + Decimal(0)
