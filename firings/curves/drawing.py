"""A curve drawn: programme, log and witness cones above, heat work gathered below, on one scale of hours.

All lengths are in units of the drawing, y downwards; page and print draw the same figures.
"""

from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

import numpy as np

from firings.cones import series
from firings.curves.course import Course, Track, Witness, asked_course
from firings.curves.thinning import thinned
from firings.notice import temp
from firings.programmes.drawing import HEADROOM, Mark, Scales, Size, cone_marks, degree_marks, hour_marks
from firings.programmes.segments import Segment, Unit, celsius
from firings.programmes.words import rate_words

# The lower panel shows the last cones of the climb.
CONES_SHOWN = 8.0
CONE_STEPS = (1, 2, 4)
# The column of the published table that the marks beside the upper panel stand for.
CONES_AT_C_PER_H = 60.0
LEGEND = (("programme", "asked by the programme"), ("sensor", "each sensor"), ("logged", "as logged"))


@dataclass(frozen=True, slots=True)
class Sheet:
    """The two panels of a drawing, upper and lower, on one width, and the most cones named beside the lower one."""

    upper: Size
    lower: Size
    most_cones: int

    @property
    def width(self) -> float:
        return self.upper.width

    @property
    def height(self) -> float:
        return self.upper.height


# width, height, left, right, top, bottom, most hours and degrees, words apart
WIDE = Sheet(Size(720, 480, 52, 44, 26, 204, 14, 8, 17), Size(720, 480, 52, 44, 306, 36, 14, 8, 17), 10)
NARROW = Sheet(Size(360, 420, 44, 34, 26, 180, 6, 6, 16), Size(360, 420, 44, 34, 270, 36, 6, 6, 16), 6)


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the drawing as points."""

    kind: str
    points: tuple[tuple[float, float], ...]
    name: str = ""

    @property
    def svg(self) -> str:
        """The points as SVG writes them."""
        return " ".join(f"{x:g},{y:g}" for x, y in self.points)


@dataclass(frozen=True, slots=True)
class Diamond:
    """A witness reading where the curve passed it, above and below, with its words."""

    x: float
    y: float
    cone_y: float
    words: str

    def corners(self, y: float) -> str:
        x = self.x
        return f"{x:g},{y - 6:g} {x + 6:g},{y:g} {x:g},{y + 6:g} {x - 6:g},{y:g}"

    @property
    def svg(self) -> str:
        return self.corners(self.y)

    @property
    def cone_svg(self) -> str:
        return self.corners(self.cone_y)


@dataclass(frozen=True, slots=True)
class Drawing:
    """All strokes and words. `hold` is x and width of the held top; `off` the x of switching off."""

    sheet: Sheet
    lines: tuple[Line, ...]
    cone_line: Line
    hours: tuple[Mark, ...]
    degrees: tuple[Mark, ...]
    cones: tuple[Mark, ...]
    gathered: tuple[Mark, ...]
    diamonds: tuple[Diamond, ...]
    hold: tuple[float, float] | None
    off: float | None
    peak: Mark
    unit: str

    @property
    def legend(self) -> list[tuple[str, str]]:
        """Kinds of strokes that occur, with their words."""
        kinds = {line.kind for line in self.lines}
        found = [(kind, words) for kind, words in LEGEND if kind in kinds]
        if self.hold:
            found.append(("hold", "held at the top"))
        if self.off is not None:
            found.append(("off", "power off"))
        return [*found, ("witness", "witness cones")] if self.diamonds else found

    @property
    def cone_rate(self) -> str:
        """The rate at which the cones beside the upper panel stand at their end points."""
        return rate_words(CONES_AT_C_PER_H, Unit(self.unit))

    @property
    def left(self) -> float:
        return self.sheet.upper.left

    @property
    def edge(self) -> float:
        """The right-hand end of both panels."""
        return self.sheet.width - self.sheet.upper.right

    @property
    def upper_top(self) -> float:
        return self.sheet.upper.top

    @property
    def upper_floor(self) -> float:
        return self.sheet.height - self.sheet.upper.bottom

    @property
    def lower_top(self) -> float:
        return self.sheet.lower.top

    @property
    def lower_floor(self) -> float:
        return self.sheet.height - self.sheet.lower.bottom

    @property
    def upper_height(self) -> float:
        return self.upper_floor - self.upper_top

    @property
    def lower_height(self) -> float:
        return self.lower_floor - self.lower_top

    @property
    def upper_words_y(self) -> float:
        return self.upper_top - 10

    @property
    def lower_words_y(self) -> float:
        return self.lower_top - 10

    @property
    def degrees_x(self) -> float:
        return self.left - 7

    @property
    def cones_x(self) -> float:
        return self.edge + 7

    @property
    def hours_y(self) -> float:
        return self.lower_floor + 16

    @property
    def foot_y(self) -> float:
        return self.sheet.height - 4


@dataclass(frozen=True, slots=True)
class ConeScale:
    """From decimal cones to the lower panel."""

    size: Size
    lowest: float
    highest: float

    def y(self, number: float) -> float:
        field = self.size.height - self.size.top - self.size.bottom
        share = (min(max(number, self.lowest), self.highest) - self.lowest) / (self.highest - self.lowest)
        return round(self.size.height - self.size.bottom - field * share, 1)


def cone_scale(course: Course, size: Size) -> ConeScale:
    """The last cones of the climb, up to a little over the highest of curve and witness cones."""
    found = [*course.cones.values[-1:], *(witness.number for witness in course.witnesses)]
    highest = float(max(found, default=series.of_order(4).number)) + 0.6
    return ConeScale(size, highest - CONES_SHOWN, highest)


def gathered_marks(scale: ConeScale, most: int) -> tuple[Mark, ...]:
    """Whole cones beside the lower panel, as many as it bears."""
    known = [
        cone for cone in series.cones() if cone.is_whole and scale.lowest <= cone.number <= scale.highest
    ]
    step = next((step for step in CONE_STEPS if len(known) / step <= most), CONE_STEPS[-1])
    chosen = known[::-1][::step]
    return tuple(Mark(cone.label, scale.size.left, scale.y(float(cone.number))) for cone in chosen)


def line_of(track: Track, kind: str, scales: Scales) -> Line:
    """A track's line, thinned to the drawing's width."""
    shown = thinned(track.hours, track.values, int(scales.size.width) // 2)
    points = [
        (scales.x(hour), scales.y(temp))
        for hour, temp in zip(track.hours[shown], track.values[shown], strict=True)
    ]
    return Line(kind, tuple(points), track.name)


def cut_off(track: Track, hour: float) -> Track:
    """A track up to an hour: a programme that lasts longer than the log ends with the drawing."""
    if track.hours[-1] <= hour:
        return track
    kept = track.hours < hour
    hours, values = track.hours[kept], track.values[kept]
    return Track(np.append(hours, hour), np.append(values, track.at(hour)), track.name)


def temp_lines(course: Course, scales: Scales, kind: str) -> tuple[Line, ...]:
    """The programme first, then each sensor, then what counts, so that this lies on top."""
    lines = [line_of(track, "sensor", scales) for track in course.others]
    if course.programme:
        lines.insert(0, line_of(cut_off(course.programme, scales.longest_h), "programme", scales))
    return (*lines, line_of(course.logged, kind, scales))


def cone_line_of(course: Course, scales: Scales, cones: ConeScale, kind: str) -> Line:
    """Heat work gathered; it goes on level after the hot part."""
    if not course.cones.is_there:
        return Line(kind, ())
    shown = course.cones.values >= cones.lowest
    hours, numbers = course.cones.hours[shown], course.cones.values[shown]
    places = thinned(hours, numbers, int(scales.size.width) // 2)
    points = [(scales.x(hours[place]), cones.y(numbers[place])) for place in places]
    if points:
        points.append((scales.x(course.length_h), points[-1][1]))
    return Line(kind, tuple(points))


def diamond_of(witness: Witness, course: Course, scales: Scales, cones: ConeScale) -> Diamond:
    passed_h = course.passed_h(witness)
    words = f"cone {series.number_words(Decimal(witness.number))}" + (
        f", {witness.place}" if witness.place else ""
    )
    return Diamond(scales.x(passed_h), scales.y(course.logged.at(passed_h)), cones.y(witness.number), words)


def peak_mark(course: Course, scales: Scales, unit: Unit) -> Mark:
    hour = float(course.logged.hours[int(course.logged.values.argmax())])
    x, y = scales.x(hour), scales.y(course.peak_c) - 8
    anchor = "end" if x > scales.size.width * 0.55 else "start"
    return Mark(temp(course.peak_c).words(unit), x, y, anchor)


def draw(course: Course, sheet: Sheet, unit: Unit, kind: str = "logged") -> Drawing:
    """A course on one sheet; `kind` is "programme" for what was only asked."""
    hottest_c = max(course.peak_c, *(track.values.max() for track in course.others), 100.0)
    if course.programme:
        hottest_c = max(hottest_c, float(course.programme.values.max()))
    coldest_c = 0.0 if unit is Unit.CELSIUS else celsius(0.0)
    scales = Scales(sheet.upper, max(course.length_h, 0.1), hottest_c * HEADROOM, coldest_c)
    cones = cone_scale(course, sheet.lower)
    off = None if course.off_h is None else scales.x(course.off_h)
    hold = None
    if course.off_h is not None and course.held_h > 0:
        begins = scales.x(course.off_h - course.held_h)
        hold = begins, round(scales.x(course.off_h) - begins, 1)
    return Drawing(
        sheet,
        temp_lines(course, scales, kind),
        cone_line_of(course, scales, cones, kind),
        hour_marks(scales),
        degree_marks(scales, unit),
        cone_marks(scales, course.peak_c),
        gathered_marks(cones, sheet.most_cones),
        tuple(diamond_of(witness, course, scales, cones) for witness in course.witnesses),
        hold,
        off,
        peak_mark(course, scales, unit),
        unit.value,
    )


def drawings_of(course: Course, unit: Unit, kind: str = "logged") -> dict[str, Drawing]:
    """A course drawn for wide and for narrow screens."""
    return {"wide": draw(course, WIDE, unit, kind), "narrow": draw(course, NARROW, unit, kind)}


@lru_cache(maxsize=64)
def asked_drawings(segments: tuple[Segment, ...], unit: Unit) -> dict[str, Drawing]:
    """What a programme asks for, drawn; nothing without segments. Kept, as a programme is fired many times."""
    asked = asked_course(segments)
    return drawings_of(asked, unit, "programme") if asked else {}
