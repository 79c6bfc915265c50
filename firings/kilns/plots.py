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


@dataclass(frozen=True, slots=True)
class Bars:
    """One figure month by month: what it is, what the highest bar stands for, the bars."""

    name: str
    most: float
    bars: tuple[Bar, ...]

    @property
    def most_words(self) -> str:
        """What the highest bar stands for."""
        return f"{self.most:.0f}"


def _bars_of(name: str, months: Sequence[Month], values: Sequence[float]) -> Bars:
    most = max(values, default=0.0)
    step = (WIDTH - LEFT) / max(len(months), 1)
    heights = [value / (most or 1) * (FOOT - TOP) for value in values]
    return Bars(
        name,
        most,
        tuple(
            Bar(LEFT + at * step + 3, FOOT - height, step - 6, height, month)
            for at, (month, height) in enumerate(zip(months, heights, strict=True))
        ),
    )


def bars(months: Sequence[Month]) -> list[Bars]:
    """Firings a month, and energy and cost a month where any is noted, each on its own scale.

    >>> [one.name for one in bars([])]
    ['Firings']
    """
    figures = [
        ("Firings", [float(month.count) for month in months]),
        ("kWh", [float(month.energy_kwh or 0) for month in months]),
        ("Cost", [float(month.cost or 0) for month in months]),
    ]
    return [_bars_of(name, months, values) for name, values in figures if name == "Firings" or any(values)]


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
