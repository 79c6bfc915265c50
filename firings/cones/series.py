"""The published cone series: order and names of cones.

A cone is stored as its integer order in the series, 1 (022) to 38 (14), never as text to be sorted. The decimal
cone lives on another scale, `number`, where whole cones are one apart: 01 is 0, 1 is 1, 04 is -3, 5½ is 5.5.
"""

import csv
import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal
from functools import cache, lru_cache
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Cone:
    """One cone of the series; end points in °C at three heating rates, None where none is published.

    `small_300` is the end point of the small cone at 300 °C/h; `small_source` is "seen" or "from memory".
    """

    label: str
    order: int
    number: Decimal
    c_15: int | None
    c_60: int | None
    c_150: int | None
    small_300: int | None = None
    small_source: str = ""

    @property
    def is_whole(self) -> bool:
        return "½" not in self.label


def _end_point(text: str) -> int | None:
    return int(text) if text else None


@cache
def cones() -> tuple[Cone, ...]:
    """The series, coolest first."""
    lines = (Path(__file__).parent / "cones.csv").read_text(encoding="utf-8").splitlines()
    rows = csv.DictReader(line for line in lines if not line.startswith("#"))
    return tuple(
        Cone(
            row["cone"],
            int(row["order"]),
            Decimal(row["cone_number"]),
            _end_point(row["c_15"]),
            _end_point(row["c_60"]),
            _end_point(row["c_150"]),
            _end_point(row["small_300"]),
            row["small_source"],
        )
        for row in rows
    )


def of_order(order: int) -> Cone:
    """The cone of that rank.

    Raises
    ------
    ValueError : no cone has that rank

    >>> of_order(30).label
    '6'
    """
    if not 1 <= order <= len(cones()):
        raise ValueError(f"the cone series has no rank {order}")
    return cones()[order - 1]


def label_of(order: int) -> str:
    """The cone's name as potters write it.

    >>> [label_of(order) for order in (17, 20, 29)]
    ['06', '04', '5½']
    """
    return of_order(order).label


@cache
def _orders_by_label() -> dict[str, int]:
    return {cone.label: cone.order for cone in cones()}


def order_of(text: str) -> int:
    """Read a cone as people write it: 6, ^6, cone 06, Δ04, ∆04, 5½, 5 1/2, 5.5.

    Raises
    ------
    ValueError : not a cone of the series, in words fit for a form

    >>> order_of("cone 06"), order_of("^6"), order_of("5 1/2")
    (17, 30, 29)
    """
    bare = re.sub(r"^(cone|[\^δ△∆])\s*", "", text.strip().casefold())
    bare = re.sub(r"\s*(1/2|½|[.,]5)$", "½", bare)
    try:
        return _orders_by_label()[bare]
    except KeyError:
        raise ValueError(f"{text.strip()!r} is not a cone; write 022 to 01, 1 to 14, 05½ or 5½") from None


def nearest_whole(number: Decimal) -> Cone:
    """The whole cone nearest to a decimal cone, the series' ends where it lies beyond them.

    >>> nearest_whole(Decimal("5.8")).label
    '6'
    """
    return _nearest(number, [cone for cone in cones() if cone.is_whole])


def nearest(number: Decimal) -> Cone:
    """The cone nearest to a decimal cone, half cones among them.

    >>> nearest(Decimal("5.5")).label
    '5½'
    """
    return _nearest(number, cones())


def _nearest(number: Decimal, among: Iterable[Cone]) -> Cone:
    return min(among, key=lambda cone: (abs(cone.number - number), cone.order))


@lru_cache(maxsize=1024)
def number_words(number: Decimal) -> str:
    """A decimal cone in words: plain above cone 1, else how far past the cooler cone, as 04.6 would mislead.

    >>> number_words(Decimal("5.80")), number_words(Decimal("-3.39")), number_words(Decimal("-3"))
    ('5.8', '0.6 past 05', '04')
    """
    rounded = number.quantize(Decimal("0.1"), ROUND_HALF_UP)
    below = rounded.to_integral_value(ROUND_FLOOR)
    if rounded == below:
        return nearest_whole(below).label
    if below >= 1:
        return str(rounded)
    return f"{rounded - below} past {nearest_whole(below).label}"


def choices(*, whole_only: bool = False) -> list[tuple[int, str]]:
    """Pairs for a form, hottest last."""
    return [(cone.order, cone.label) for cone in cones() if cone.is_whole or not whole_only]
