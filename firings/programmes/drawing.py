"""A programme drawn: hours across, temperature up, cones beside it; one or several on the same scales.

All lengths are in units of the drawing. Ramps as fast as the kiln can and holds are told apart by their kind, and each
segment carries the number of its row.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from firings.cones import series
from firings.heatwork.bending import Piece
from firings.heatwork.predict import KilnFigures, fast_pieces, pieces_of
from firings.programmes.segments import ROOM_C, Segment, Unit, celsius
from firings.programmes.words import duration_words, temp_words

# Steps of the scales, coarsest that leaves enough lines.
HOUR_STEPS = (0.25, 0.5, 1, 2, 3, 6, 12, 24, 48, 96, 168, 500, 2000, 10_000, 50_000, 200_000)
DEGREE_STEPS = (50, 100, 200, 250, 500, 1000)
# The chart's end points belong to the rate in the last 100 °C.
LAST_PART_C = 100.0
HEADROOM = 1.08


@dataclass(frozen=True, slots=True)
class Size:
    """A drawing's size and margins, the most lines its scales bear, and the least distance of two words."""

    width: float
    height: float
    left: float
    right: float
    top: float
    bottom: float
    most_hours: int
    most_degrees: int
    apart: float


WIDE = Size(720, 400, 52, 52, 30, 40, 12, 8, 17)
NARROW = Size(360, 300, 42, 40, 30, 36, 6, 6, 16)
SMALL = Size(132, 56, 3, 3, 4, 4, 1, 1, 99)


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight piece; `kind` is ramp, fast or hold."""

    kind: str
    x1: float
    y1: float
    x2: float
    y2: float


@dataclass(frozen=True, slots=True)
class Mark:
    """A word or a number at a place."""

    words: str
    x: float
    y: float
    anchor: str = "middle"


@dataclass(frozen=True, slots=True)
class Line:
    """One programme: its strokes, its numbered segments, where it ends, its hottest point in words."""

    strokes: tuple[Stroke, ...]
    numbers: tuple[Mark, ...]
    end: Mark
    peak: Mark


@dataclass(frozen=True, slots=True)
class Drawing:
    """Lines on common scales. `last_part` is x and width of the last 100 °C and the top, for a single programme."""

    size: Size
    lines: tuple[Line, ...]
    hours: tuple[Mark, ...]
    degrees: tuple[Mark, ...]
    cones: tuple[Mark, ...]
    last_part: tuple[float, float] | None
    unit: str

    @property
    def floor(self) -> float:
        return self.size.height - self.size.bottom

    @property
    def edge(self) -> float:
        """The right-hand end of the field."""
        return self.size.width - self.size.right

    @property
    def floor_height(self) -> float:
        return self.floor - self.size.top

    @property
    def hours_y(self) -> float:
        return self.floor + 16

    @property
    def degrees_x(self) -> float:
        return self.size.left - 7

    @property
    def cones_x(self) -> float:
        return self.edge + 8

    @property
    def title_y(self) -> float:
        return self.size.top - 14

    @property
    def foot_y(self) -> float:
        return self.size.height - 5


@dataclass(frozen=True, slots=True)
class Scales:
    """From hours and °C to the drawing; the temperature scale begins at nought of its unit."""

    size: Size
    longest_h: float
    hottest_c: float
    coldest_c: float

    def x(self, hours: float) -> float:
        field = self.size.width - self.size.left - self.size.right
        return round(self.size.left + field * hours / self.longest_h, 1)

    def y(self, temp_c: float) -> float:
        field = self.size.height - self.size.top - self.size.bottom
        share = (temp_c - self.coldest_c) / (self.hottest_c - self.coldest_c)
        return round(self.size.height - self.size.bottom - field * share, 1)


def step_for(span: float, most: int, steps: Sequence[float]) -> float:
    """The finest step that draws no more than `most` lines.

    >>> step_for(20, 12, HOUR_STEPS), step_for(1300, 8, DEGREE_STEPS)
    (2, 200)
    """
    return next((step for step in steps if span / step <= most), steps[-1])


def hour_marks(scales: Scales) -> tuple[Mark, ...]:
    step = step_for(scales.longest_h, scales.size.most_hours, HOUR_STEPS)
    count = math.floor(scales.longest_h / step + 1e-9)
    hours = [step * number for number in range(count + 1)]
    return tuple(Mark(f"{hour:g}", scales.x(hour), scales.size.height - scales.size.bottom) for hour in hours)


def degree_marks(scales: Scales, unit: Unit) -> tuple[Mark, ...]:
    highest = scales.hottest_c if unit is Unit.CELSIUS else scales.hottest_c * 1.8 + 32
    step = step_for(highest, scales.size.most_degrees, DEGREE_STEPS)
    figures = [step * number for number in range(math.floor(highest / step) + 1)]
    temps = [figure if unit is Unit.CELSIUS else celsius(figure) for figure in figures]
    return tuple(
        Mark(f"{figure:g}", scales.size.left, scales.y(temp_c))
        for figure, temp_c in zip(figures, temps, strict=True)
    )


def cone_marks(scales: Scales, peak_c: float) -> tuple[Mark, ...]:
    """Whole cones at their published end points at 60 °C/h; where two would touch, the one nearer the peak stays."""
    known = [cone for cone in series.cones() if cone.is_whole and cone.c_60 and cone.c_60 < scales.hottest_c]
    marks: list[Mark] = []
    for cone in sorted(known, key=lambda cone: abs((cone.c_60 or 0) - peak_c)):
        y = scales.y(float(cone.c_60 or 0))
        if all(abs(y - mark.y) >= scales.size.apart for mark in marks):
            marks.append(Mark(cone.label, scales.size.width - scales.size.right, y))
    return tuple(sorted(marks, key=lambda mark: mark.y))


def stroke_kind(piece: Piece, *, is_fast: bool) -> str:
    if piece.from_c == piece.to_c:
        return "hold"
    return "fast" if is_fast else "ramp"


def strokes_of(pieces: Sequence[Piece], fast: Sequence[bool], scales: Scales) -> tuple[Stroke, ...]:
    """The pieces one after another; a hold is drawn long enough to be seen."""
    strokes = []
    passed_h = 0.0
    for piece, is_fast in zip(pieces, fast, strict=True):
        ends = (
            scales.x(passed_h),
            scales.y(piece.from_c),
            scales.x(passed_h + piece.hours),
            scales.y(piece.to_c),
        )
        strokes.append(Stroke(stroke_kind(piece, is_fast=is_fast), *ends))
        passed_h += piece.hours
    return tuple(strokes)


def numbers_of(strokes: Sequence[Stroke], apart: float) -> tuple[Mark, ...]:
    """The number of each segment in the middle of its ramp, left out where two would touch."""
    marks: list[Mark] = []
    ramps = [stroke for stroke in strokes if stroke.kind != "hold"]
    for number, stroke in enumerate(ramps, start=1):
        x, y = (stroke.x1 + stroke.x2) / 2, (stroke.y1 + stroke.y2) / 2
        if all(math.hypot(x - mark.x, y - mark.y) >= apart for mark in marks):
            marks.append(Mark(str(number), round(x, 1), round(y, 1)))
    return tuple(marks)


def peak_mark(pieces: Sequence[Piece], scales: Scales, unit: Unit) -> Mark:
    """The hottest point, said where there is room: left of it, or over it early in the drawing."""
    peak_c = max(piece.to_c for piece in pieces)
    first = next(place for place, piece in enumerate(pieces) if piece.to_c == peak_c)
    x = scales.x(sum(piece.hours for piece in pieces[: first + 1]))
    anchor = "end" if x > scales.size.width * 0.45 else "start"
    shift = -10 if anchor == "end" else 0
    return Mark(temp_words(peak_c, unit), x + shift, scales.y(peak_c) - 7, anchor)


def line_of(segments: Sequence[Segment], kiln: KilnFigures, scales: Scales, unit: Unit) -> Line:
    pieces = pieces_of(segments, kiln, ROOM_C)
    strokes = strokes_of(pieces, fast_pieces(segments), scales)
    hours = sum(piece.hours for piece in pieces)
    end = Mark(duration_words(hours), scales.x(hours), scales.y(pieces[-1].to_c))
    return Line(strokes, numbers_of(strokes, scales.size.apart + 2), end, peak_mark(pieces, scales, unit))


def last_part_h(pieces: Sequence[Piece]) -> tuple[float, float]:
    """Hours at which the last 100 °C of the rise begin and the top ends.

    >>> last_part_h([Piece(20.0, 620.0, 6.0), Piece(620.0, 720.0, 1.0), Piece(720.0, 720.0, 0.5)])
    (6.0, 7.5)
    """
    hours = [0.0]
    for piece in pieces:
        hours.append(hours[-1] + piece.hours)
    temps = [pieces[0].from_c, *(piece.to_c for piece in pieces)]
    peak_c = max(temps)
    reached = temps.index(peak_c)
    off = max(place for place, temp in enumerate(temps) if temp == peak_c)
    below = peak_c - LAST_PART_C
    for place in reversed(range(reached)):
        if temps[place] <= below < temps[place + 1]:
            share = (below - temps[place]) / (temps[place + 1] - temps[place])
            return hours[place] + share * (hours[place + 1] - hours[place]), hours[off]
    return 0.0, hours[off]


def scales_for(programmes: Sequence[Sequence[Piece]], size: Size, unit: Unit) -> Scales:
    longest_h = max(sum(piece.hours for piece in pieces) for pieces in programmes)
    hottest_c = max(max(piece.from_c, piece.to_c) for pieces in programmes for piece in pieces)
    coldest_c = 0.0 if unit is Unit.CELSIUS else celsius(0.0)
    return Scales(size, max(longest_h, 0.1), max(hottest_c * HEADROOM, 100.0), coldest_c)


def draw(
    programmes: Sequence[Sequence[Segment]], size: Size, unit: Unit, kiln: KilnFigures | None = None
) -> Drawing:
    """Programmes on common scales.

    Raises
    ------
    ValueError : no programme, or one without segments

    >>> drawn = draw([[Segment(60.0, 1220.0)]], WIDE, Unit.CELSIUS)
    >>> drawn.lines[0].end.words, drawn.lines[0].peak.words
    ('20 h', '1220 °C')
    """
    if not programmes or not all(programmes):
        raise ValueError("A drawing needs a segment.")
    kiln = kiln or KilnFigures()
    pieces = [pieces_of(segments, kiln, ROOM_C) for segments in programmes]
    scales = scales_for(pieces, size, unit)
    last_part = None
    if len(programmes) == 1:
        begins, ends = (scales.x(hour) for hour in last_part_h(pieces[0]))
        last_part = begins, round(ends - begins, 1)
    peak_c = max(piece.to_c for one in pieces for piece in one)
    return Drawing(
        size,
        tuple(line_of(segments, kiln, scales, unit) for segments in programmes),
        hour_marks(scales),
        degree_marks(scales, unit),
        cone_marks(scales, peak_c),
        last_part,
        unit.value,
    )
