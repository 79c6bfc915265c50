"""The a*b* plane drawn: each colour a dot where its hue and strength put it, filled with itself; crowds become one dot.

Places are in the drawing's own units, 0 to `SIDE` from its upper left corner.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tiles.colour.srgb import Array
from tiles.colour.swatch import hex_of

SIDE = 800.0
# More dots than these hide one another, and are gathered.
MOST_DOTS = 400
CELLS_ACROSS = 26
DOT_RADIUS = 9.0
# The least part of the plane that is drawn, so that three browns are not drawn as far apart as red and green.
LEAST_SPAN = 30.0
MARGIN_SHARE = 0.08
STEPS = (1, 2, 5, 10, 20, 50)
MOST_TICKS = 9


@dataclass(frozen=True, slots=True)
class Window:
    """The square of the a*b* plane that is drawn: its middle and its side."""

    a: float
    b: float
    span: float

    def holds(self, lab: Array) -> NDArray[np.bool_]:
        """Which colours (n, 3) lie within."""
        away = np.abs(lab[:, 1:] - (self.a, self.b))
        return np.asarray((away <= self.span / 2).all(axis=1))


@dataclass(frozen=True, slots=True)
class Dot:
    """One colour, or `count` of them about their mean; `index` is the place of a single one in what was given."""

    x: float
    y: float
    radius: float
    shown: str
    lab: tuple[float, float, float]
    count: int
    index: int | None
    window: Window | None


@dataclass(frozen=True, slots=True)
class Tick:
    """A line of the grid and its figure."""

    at: float
    label: str
    is_zero: bool


@dataclass(frozen=True, slots=True)
class Plot:
    """The whole drawing; `left_out` colours lie outside the window."""

    dots: tuple[Dot, ...]
    across: tuple[Tick, ...]
    down: tuple[Tick, ...]
    window: Window
    left_out: int


def window_of(lab: Array) -> Window:
    """The square that holds all colours (n, 3) with a margin."""
    if not len(lab):
        return Window(0.0, 0.0, 2 * LEAST_SPAN)
    low, high = lab[:, 1:].min(axis=0), lab[:, 1:].max(axis=0)
    a, b = (low + high) / 2
    span = max(LEAST_SPAN, float((high - low).max()) * (1 + 2 * MARGIN_SHARE))
    return Window(float(a), float(b), span)


def plot(colours: Sequence[tuple[float, float, float]] | Array, window: Window | None = None) -> Plot:
    """The drawing of these L*a*b* colours, the lightest on top.

    >>> found = plot([(50, 10, 10), (60, 10, -10)])
    >>> [(round(dot.x), round(dot.y)) for dot in found.dots]
    [(400, 133), (400, 667)]
    """
    lab = np.array(colours, dtype=np.float64).reshape(-1, 3)
    shown = window or window_of(lab)
    inside = np.flatnonzero(shown.holds(lab))
    drawn = _single(lab, inside, shown) if len(inside) <= MOST_DOTS else _gathered(lab, inside, shown)
    across = _ticks(shown.a, shown.span, falling=False)
    return Plot(drawn, across, _ticks(shown.b, shown.span, falling=True), shown, len(lab) - len(inside))


def _place(lab: Array, window: Window) -> tuple[float, float]:
    x = (lab[1] - window.a) / window.span + 0.5
    y = 0.5 - (lab[2] - window.b) / window.span
    return round(float(x) * SIDE, 1), round(float(y) * SIDE, 1)


def _single(lab: Array, inside: NDArray[np.intp], window: Window) -> tuple[Dot, ...]:
    order = inside[np.argsort(lab[inside, 0], kind="stable")]
    return tuple(_dot(lab[index], window, index=int(index)) for index in order)


def _dot(
    lab: Array, window: Window, *, index: int | None = None, count: int = 1, closer: Window | None = None
) -> Dot:
    x, y = _place(lab, window)
    lightness, a, b = (round(float(value), 2) for value in lab)
    radius = DOT_RADIUS if count == 1 else round(min(DOT_RADIUS + 3 * np.log2(count), 2.2 * DOT_RADIUS), 1)
    return Dot(x, y, radius, hex_of(lightness, a, b), (lightness, a, b), count, index, closer)


def _gathered(lab: Array, inside: NDArray[np.intp], window: Window) -> tuple[Dot, ...]:
    """One dot for each cell of a grid; a cell's own window is three cells wide, so that nothing of it is cut off."""
    cell = window.span / CELLS_ACROSS
    cells = np.floor((lab[inside, 1:] - (window.a - window.span / 2, window.b - window.span / 2)) / cell)
    which = cells[:, 0] * (CELLS_ACROSS + 1) + cells[:, 1]
    order = np.argsort(which, kind="stable")
    ends = np.flatnonzero(np.diff(which[order])) + 1
    dots = []
    for members in np.split(inside[order], ends):
        count = len(members)
        mean = lab[members].mean(axis=0)
        closer = Window(round(float(mean[1]), 1), round(float(mean[2]), 1), round(3 * cell, 2))
        single = int(members[0]) if count == 1 else None
        dots.append(_dot(mean, window, index=single, count=count, closer=None if count == 1 else closer))
    return tuple(sorted(dots, key=lambda dot: -dot.count))


def _ticks(middle: float, span: float, *, falling: bool) -> tuple[Tick, ...]:
    step = next((step for step in STEPS if span / step <= MOST_TICKS), STEPS[-1])
    low, high = middle - span / 2, middle + span / 2
    found = []
    for number in range(int(np.ceil(low / step)), int(np.floor(high / step)) + 1):
        share = (number * step - low) / span
        at = round(SIDE * (1 - share if falling else share), 1)
        found.append(Tick(at, f"{number * step}".replace("-", "−"), number == 0))
    return tuple(found)
