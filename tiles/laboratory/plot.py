"""Absorption over the cones, ready to be drawn: dots with the reach of their pieces, the groups' limits across."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from firings.cones import series

LEFT, RIGHT, TOP, BOTTOM = 44.0, 262.0, 10.0, 156.0
LEAST_CONES = 4
# The scale ends at one of these per cent, so that bodies can be told apart by eye.
ENDS_PCT = (1.0, 2.0, 4.0, 8.0, 12.0, 16.0, 24.0, 40.0, 100.0)
LABEL_ROOM = 11.0


@dataclass(frozen=True, slots=True)
class Dot:
    """One test: cone rank, mean, least and most [%]; `is_soak` where it was only soaked."""

    cone: int
    mean: float
    low: float
    high: float
    is_soak: bool = False


@dataclass(frozen=True, slots=True)
class Mark:
    """A dot on the drawing."""

    x: float
    y: float
    top: float
    foot: float
    words: str
    is_soak: bool


@dataclass(frozen=True, slots=True)
class Line:
    """A limit across the drawing; its name where there is room for it."""

    y: float
    words: str


@dataclass(frozen=True, slots=True)
class Plot:
    """The drawing."""

    marks: tuple[Mark, ...]
    limits: tuple[Line, ...]
    cones: tuple[tuple[float, str], ...]
    end_pct: float


def plotted(dots: Sequence[Dot], limits: Sequence[tuple[str, float | None]]) -> Plot | None:
    """Lay dots out over the cones between the lowest and the highest; None without any.

    `limits` are classes with their upper ends, lowest first.

    >>> plot = plotted([Dot(30, 2.2, 2.0, 2.4)], [("Ia", 0.5), ("Ib", 3.0), ("IIa", 6.0)])
    >>> plot.end_pct, [line.words for line in plot.limits], plot.marks[0].words
    (4.0, ['Ia to 0.5', 'Ib to 3'], 'cone 6: 2.20 %')
    """
    if not dots:
        return None
    most = max(dot.high for dot in dots)
    end = next((one for one in ENDS_PCT if most <= one * 0.97), ENDS_PCT[-1])
    low, high = min(dot.cone for dot in dots), max(dot.cone for dot in dots)
    while high - low + 1 < LEAST_CONES:
        low, high = max(low - 1, 1), high + 1
    span = high - low

    def x(cone: int) -> float:
        return round(LEFT + 14 + (cone - low) / span * (RIGHT - LEFT - 28), 1)

    def y(pct: float) -> float:
        return round(BOTTOM - pct / end * (BOTTOM - TOP), 1)

    marks = tuple(
        Mark(
            x(dot.cone), y(dot.mean), y(dot.high), y(dot.low),
            f"cone {series.label_of(dot.cone)}: {dot.mean:.2f} %", dot.is_soak,
        )
        for dot in dots
    )  # fmt: skip
    fired = sorted({dot.cone for dot in dots})
    return Plot(marks, _limits(limits, end, y), tuple((x(one), series.label_of(one)) for one in fired), end)


def _limits(
    limits: Sequence[tuple[str, float | None]], end: float, y: Callable[[float], float]
) -> tuple[Line, ...]:
    """The limits within the drawing; where two lie close the upper one's name is left out."""
    lines: list[Line] = []
    named_y = BOTTOM + LABEL_ROOM
    for name, up_to in limits:
        if up_to is None or up_to >= end:
            continue
        at = y(up_to)
        has_room = named_y - at >= LABEL_ROOM
        lines.append(Line(at, f"{name} to {up_to:g}" if has_room else ""))
        named_y = at if has_room else named_y
    return tuple(lines)
