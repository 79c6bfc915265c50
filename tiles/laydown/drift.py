"""A batch's readings over time: how far each is from the first, and when that is too far to compare tiles by."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

# A coat laid at 1.47 instead of 1.45 carries about 4 % more dry glaze. The bounds are common practice, no source.
SG_BOUND = 0.02
FLOW_BOUND_PCT = 20.0
# Glaze is thinner when warm; a flow time is compared only within so many degrees (common practice, no source).
TEMP_BOUND_C = 5.0


@dataclass(frozen=True, slots=True)
class Reading:
    """One measurement of a batch; a figure that was not taken is None."""

    day: date
    specific_gravity: float | None = None
    flow_s: float | None = None
    cup: str = ""
    temp_c: float | None = None


@dataclass(frozen=True, slots=True)
class Drift:
    """How far a reading is from the first of its kind, in plain words where it is too far."""

    sg: float | None
    flow_pct: float | None
    warnings: tuple[str, ...]


def drifts(readings: Sequence[Reading]) -> list[Drift]:
    """The drift of each reading, in the order given, oldest first.

    Specific gravity is told against the first that was taken, flow time against the first by the same cup. A flow
    time of a slop that was warmer or colder by more than 5 °C than that first one is not judged.

    >>> first, later = Reading(date(2026, 9, 1), 1.45), Reading(date(2026, 10, 1), 1.49)
    >>> drifts([first, later])[1].warnings
    ('SG is 0.04 above the first',)
    """
    first_sg: float | None = None
    first_flow: dict[str, Reading] = {}
    found = []
    for reading in readings:
        sg = flow_pct = None
        if reading.specific_gravity is not None:
            first_sg = reading.specific_gravity if first_sg is None else first_sg
            sg = round(reading.specific_gravity - first_sg, 4)
        if reading.flow_s is not None:
            first = first_flow.setdefault(reading.cup, reading)
            if first.flow_s and not _far_in_warmth(first, reading):
                flow_pct = 100 * (reading.flow_s - first.flow_s) / first.flow_s
        found.append(Drift(sg, flow_pct, tuple(_warnings(sg, flow_pct))))
    return found


def _far_in_warmth(one: Reading, other: Reading) -> bool:
    if one.temp_c is None or other.temp_c is None:
        return False
    return abs(one.temp_c - other.temp_c) > TEMP_BOUND_C


def _warnings(sg: float | None, flow_pct: float | None) -> list[str]:
    words = []
    if sg is not None and abs(sg) > SG_BOUND + 1e-9:
        words.append(f"SG is {abs(sg):.3f}".rstrip("0") + f" {'above' if sg > 0 else 'below'} the first")
    if flow_pct is not None and abs(flow_pct) > FLOW_BOUND_PCT + 1e-9:
        words.append(
            f"flow time is {abs(flow_pct):.0f} % {'longer' if flow_pct > 0 else 'shorter'} than the first"
        )
    return words


@dataclass(frozen=True, slots=True)
class Dot:
    """A reading on a drawing."""

    x: float
    y: float
    words: str
    beyond: bool


@dataclass(frozen=True, slots=True)
class Drawing:
    """A measure over time, ready to be drawn: dots, the line through them, the band it should stay in."""

    title: str
    dots: tuple[Dot, ...]
    line: str
    band_top: float
    band_height: float
    low: str
    high: str
    first_day: date
    last_day: date


WIDTH, HEIGHT = 340.0, 150.0
LEFT, RIGHT, TOP, BOTTOM = 48.0, 330.0, 12.0, 122.0


def drawing(
    title: str, values: Sequence[tuple[date, float]], *, bound: float, decimals: int
) -> Drawing | None:
    """A drawing of two readings or more, with a band of `bound` around the first; None of fewer.

    >>> drawing("SG", [(date(2026, 9, 1), 1.45)], bound=0.02, decimals=3) is None
    True
    """
    if len(values) < 2:
        return None
    first = values[0][1]
    figures = [value for _, value in values] + [first - bound, first + bound]
    spare = (max(figures) - min(figures)) * 0.08
    low, high = min(figures) - spare, max(figures) + spare
    days = [day.toordinal() for day, _ in values]
    start, span = min(days), max(max(days) - min(days), 1)

    def y(value: float) -> float:
        return round(BOTTOM - (value - low) / (high - low) * (BOTTOM - TOP), 1)

    dots = tuple(
        Dot(
            round(LEFT + 8 + (day.toordinal() - start) / span * (RIGHT - LEFT - 16), 1),
            y(value),
            f"{value:.{decimals}f}",
            abs(value - first) > bound + 1e-9,
        )
        for day, value in values
    )
    return Drawing(
        title,
        dots,
        " ".join(f"{dot.x},{dot.y}" for dot in dots),
        y(first + bound),
        round(y(first - bound) - y(first + bound), 1),
        f"{low:.{decimals}f}",
        f"{high:.{decimals}f}",
        min(day for day, _ in values),
        max(day for day, _ in values),
    )
