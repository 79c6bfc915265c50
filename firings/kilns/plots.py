"""The small drawings of a kiln's page: energy by month, a sensor against the cones; plain figures for SVG."""

from collections.abc import Sequence
from dataclasses import dataclass

from firings.kilns.drift import Reading
from firings.kilns.months import Month

# The drawings' own units.
WIDTH, HEIGHT = 360.0, 120.0
LEFT, FOOT = 34.0, 100.0
TOP = 10.0
# The least the scale of differences shows [°C].
LEAST_SCALE_C = 10.0


@dataclass(frozen=True, slots=True)
class Bar:
    """A month: where its bar stands and how high it is."""

    x: float
    y: float
    width: float
    height: float
    month: Month

    @property
    def middle(self) -> float:
        return self.x + self.width / 2


def bars(months: Sequence[Month]) -> list[Bar]:
    """One bar a month, as high as its firings are many.

    >>> bars([])
    []
    """
    most = max((month.count for month in months), default=0) or 1
    step = (WIDTH - LEFT) / max(len(months), 1)
    return [
        Bar(
            LEFT + at * step + 3,
            FOOT - month.count / most * (FOOT - TOP),
            step - 6,
            month.count / most * (FOOT - TOP),
            month,
        )
        for at, month in enumerate(months)
    ]


@dataclass(frozen=True, slots=True)
class Dot:
    """One firing's difference."""

    x: float
    y: float
    reading: Reading


@dataclass(frozen=True, slots=True)
class Scatter:
    """Differences over time, nought in the middle; the scale reaches `scale_c` up and down."""

    dots: tuple[Dot, ...]
    nought_y: float
    scale_c: float


def scatter(readings: Sequence[Reading]) -> Scatter:
    """A sensor against the cones, oldest left.

    >>> scatter([]).dots
    ()
    """
    scale_c = max([LEAST_SCALE_C, *(abs(one.reads_c) for one in readings)])
    days = [one.day.toordinal() for one in readings]
    span = max(max(days) - min(days), 1) if days else 1
    middle = (TOP + FOOT) / 2
    dots = tuple(
        Dot(
            LEFT + 10 + (day - days[0]) / span * (WIDTH - LEFT - 20),
            middle - one.reads_c / scale_c * (FOOT - TOP) / 2,
            one,
        )
        for day, one in zip(days, readings, strict=True)
    )
    return Scatter(dots, middle, scale_c)
