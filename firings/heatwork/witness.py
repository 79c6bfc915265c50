"""What witness cones say: the decimal cone read from how far each has bent."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

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


@dataclass(frozen=True, slots=True)
class Said:
    """What the cones of one place say together. `number` is the decimal cone, None where they say none.

    `is_at_least` where every cone is down: the ware saw that much or more. `doubts` are contradictions among the cones,
    each a sentence.
    """

    number: Decimal | None
    is_at_least: bool
    words: str
    doubts: tuple[str, ...] = ()


def clock_words(bend_deg: int) -> str:
    """Where a cone's tip points, as potters say it: twelve is upright, six is down (common practice, no source).

    >>> clock_words(0), clock_words(60), clock_words(68), clock_words(90)
    ('upright', 'at four o’clock', 'at half past four', 'down')
    """
    if bend_deg < MOVED_DEG:
        return "upright"
    if bend_deg >= DONE_DEG:
        return "down"
    halves = min(max(round(bend_deg * 12 / DONE_DEG), 1), 11)
    hour = _HOURS[halves // 2]
    return f"at half past {hour}" if halves % 2 else f"at {hour} o’clock"


_HOURS = ("twelve", "one", "two", "three", "four", "five")
_SET_OF_THREE = ("guide", "target", "guard")


def what_they_say(readings: Iterable[tuple[int, int | None]]) -> Said:
    """What the cones of one place say together, in words fit for a page.

    Parameters
    ----------
    readings : (order of the cone, bend in degrees or None while it is unread)

    >>> what_they_say([(28, 90), (30, 60), (31, 0)]).words
    'Guide down, target at four o’clock, guard upright: 5.7.'
    """
    cones = sorted(readings, key=lambda reading: reading[0])
    read = [(order, bend) for order, bend in cones if bend is not None]
    if not read:
        return Said(None, False, "Not read yet.")
    number = decimal_cone(read)
    all_down = all(bend >= DONE_DEG for _, bend in read)
    if number is None:
        verdict = f"cone {series.label_of(read[0][0])} is not reached"
    elif all_down:
        verdict = f"at least {series.number_words(number)}"
    else:
        verdict = series.number_words(number)
    seen = ", ".join(f"{name} {clock_words(bend)}" for name, bend in _named(cones))
    return Said(
        number, all_down and number is not None, f"{seen[0].upper()}{seen[1:]}: {verdict}.", _doubts(read)
    )


def _named(cones: Sequence[tuple[int, int | None]]) -> list[tuple[str, int]]:
    """The cones that were read, by their part in the set where it is one, else by their number."""
    orders = [order for order, _ in cones]
    is_set = len(orders) == len(set(orders)) == len(_SET_OF_THREE)
    names = _SET_OF_THREE if is_set else [f"cone {series.label_of(order)}" for order in orders]
    return [(name, bend) for name, (_, bend) in zip(names, cones, strict=True) if bend is not None]


def _doubts(read: Sequence[tuple[int, int]]) -> tuple[str, ...]:
    """A hotter cone further down than a cooler one: they were changed over, or one was misread."""
    found = []
    for (cooler, less), (hotter, more) in pairwise(read):
        if cooler < hotter and more - less >= MOVED_DEG and less < DONE_DEG:
            low, high = series.label_of(cooler), series.label_of(hotter)
            found.append(
                f"Cone {high} is further down than cone {low}, which is cooler: "
                "see whether they stood the other way round, or one was misread."
            )
        elif cooler == hotter and abs(more - less) > DONE_DEG // 3:
            found.append(f"Two cones {series.label_of(cooler)} in one place differ by {abs(more - less)}°.")
    return tuple(found)
