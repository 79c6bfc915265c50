"""What the witness cones of a whole firing say together."""

from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal

from firings.heatwork.witness import decimal_cone
from firings.logbook.facts import WitnessReading


def by_place(readings: Iterable[WitnessReading]) -> dict[tuple[int | None, str], Decimal]:
    """The decimal cone at each place where a cone moved."""
    places: dict[tuple[int | None, str], list[tuple[int, int]]] = defaultdict(list)
    for reading in readings:
        if reading.bend_deg is not None:
            places[reading.shelf_id, reading.place.casefold()].append((reading.order, reading.bend_deg))
    found = {place: decimal_cone(cones) for place, cones in places.items()}
    return {place: number for place, number in found.items() if number is not None}


def witness_number(readings: Iterable[WitnessReading]) -> Decimal | None:
    """The decimal cone of the firing: the mean over the places that were read, None where no cone moved.

    Each place counts once, however many cones stood there (common practice, no source).

    >>> low, high = WitnessReading(30, "", 1, "", 72), WitnessReading(28, "", 1, "", 90)
    >>> witness_number([low, high, WitnessReading(30, "", 3, "", 90)])
    Decimal('5.90')
    """
    numbers = by_place(readings).values()
    return (sum(numbers, Decimal(0)) / len(numbers)).quantize(Decimal("0.01")) if numbers else None
