"""The curves of a firing as marks on paper: what was asked dashed, what was fired on top of it."""

from collections.abc import Iterator
from typing import Literal

from firings.curves.drawing import Drawing
from tiles.prints import fonts
from tiles.prints.fit import PT_PER_MM
from tiles.prints.fonts import Typeface
from tiles.prints.marks import GREY_INK, Layout, Line, Plate, Rule, Words
from tiles.prints.stock import Box

RULE_GREY = 0.82
HELD_GREY = 0.92
WORDS_PT = 8.0
# Width [pt], grey, dash of each kind of line.
STROKES: dict[str, tuple[float, float, tuple[float, ...]]] = {
    "programme": (1.1, 0.0, (5.0, 3.0)),
    "sensor": (0.5, 0.55, ()),
    "logged": (1.4, 0.0, ()),
}
SAMPLE_MM = 9.0
LEGEND_ROW_MM = 4.5
# More kinds of strokes than this may take a second row.
IN_A_ROW = 4
DIAMOND_MM = 1.4


class CurveOnPaper:
    """A drawing of the page set to a width on paper; its y runs downwards as the paper's does."""

    def __init__(self, drawn: Drawing, page: Layout, x_mm: float, y_mm: float, width_mm: float) -> None:
        self.drawn, self.page = drawn, page
        self.scale = width_mm / drawn.sheet.width
        self.left_mm, self.top_mm, self.width_mm = x_mm, y_mm, width_mm

    @staticmethod
    def height_mm(drawn: Drawing, width_mm: float) -> float:
        """What it takes with its legend."""
        rows = 1 if len(drawn.legend) <= IN_A_ROW else 2
        return drawn.sheet.height * width_mm / drawn.sheet.width + 1 + rows * LEGEND_ROW_MM

    def draw(self) -> None:
        """Fields, scales, lines, marks, legend."""
        self._fields()
        for line in (*self.drawn.lines, self.drawn.cone_line):
            if len(line.points) > 1:
                width_pt, grey, dash_pt = STROKES[line.kind]
                points = tuple(self._at(*point) for point in line.points)
                self.page.marks.append(Line(points, grey, width_pt, dash_pt))
        self._marks()
        self._legend()

    def _at(self, x: float, y: float) -> tuple[float, float]:
        return self.left_mm + x * self.scale, self.top_mm + y * self.scale

    def _fields(self) -> None:
        drawn = self.drawn
        panels = ((drawn.upper_top, drawn.upper_floor), (drawn.lower_top, drawn.lower_floor))
        for top, floor in panels:
            if drawn.hold:
                x_mm, y_mm = self._at(drawn.hold[0], top)
                held = Box(x_mm, y_mm, drawn.hold[1] * self.scale, (floor - top) * self.scale)
                self.page.marks.append(Plate(held, HELD_GREY))
            for mark in drawn.hours:
                self._rule(mark.x, top, mark.x, floor)
        for mark in (*drawn.degrees, *drawn.gathered):
            self._rule(drawn.left, mark.y, drawn.edge, mark.y)
            self._say(mark.words, drawn.degrees_x, mark.y + 4, "right")
        for mark in drawn.hours:
            self._say(mark.words, mark.x, drawn.hours_y, "centre")
        for mark in drawn.cones:
            self._say(mark.words, drawn.cones_x, mark.y + 4)
        self._say(f"°{drawn.unit}", drawn.left, drawn.upper_words_y)
        self._say(f"cone at {drawn.cone_rate}", drawn.sheet.width, drawn.upper_words_y, "right")
        self._say("cone so far", drawn.left, drawn.lower_words_y)
        self._say("hours", drawn.edge, drawn.foot_y, "right")

    def _rule(self, x1: float, y1: float, x2: float, y2: float) -> None:
        self.page.marks.append(Rule(*self._at(x1, y1), *self._at(x2, y2), grey=RULE_GREY))

    def _say(
        self,
        text: str,
        x: float,
        y: float,
        align: Literal["left", "centre", "right"] = "left",
        *,
        bold: bool = False,
    ) -> None:
        x_mm, y_mm = self._at(x, y)
        typeface = Typeface.BOLD if bold else Typeface.TEXT
        width_mm = fonts.width_pt(text, typeface, WORDS_PT) / PT_PER_MM
        x_mm -= width_mm * {"left": 0.0, "centre": 0.5, "right": 1.0}[align]
        if bold:
            self.page.marks.append(Plate(Box(x_mm - 0.4, y_mm - 2.6, width_mm + 0.8, 3.2), 1.0))
        grey = 0.0 if bold else GREY_INK
        self.page.marks.append(Words(text, x_mm, y_mm, typeface, WORDS_PT, grey))

    def _marks(self) -> None:
        """Switching off, the hottest point, the witness cones."""
        drawn = self.drawn
        if drawn.off is not None:
            for top, floor in (
                (drawn.upper_top, drawn.upper_floor),
                (drawn.lower_top, drawn.lower_floor),
            ):
                ends = (self._at(drawn.off, top), self._at(drawn.off, floor))
                self.page.marks.append(Line(ends, 0.0, 0.7, (1.5, 2.0)))
        self._say(
            drawn.peak.words,
            drawn.peak.x,
            drawn.peak.y,
            "right" if drawn.peak.anchor == "end" else "left",
            bold=True,
        )
        for diamond in drawn.diamonds:
            for y in (diamond.y, diamond.cone_y):
                self.page.marks.append(_diamond(*self._at(diamond.x, y)))

    def _legend(self) -> None:
        """What each kind of stroke is, in as many rows as they take."""
        left_mm = x_mm = self.left_mm + self.drawn.left * self.scale
        y_mm = self.top_mm + self.drawn.sheet.height * self.scale + 2.5
        for kind, words in self.drawn.legend:
            wide_mm = SAMPLE_MM + 1.5 + fonts.width_pt(words, Typeface.TEXT, WORDS_PT) / PT_PER_MM
            if x_mm + wide_mm > self.left_mm + self.width_mm:
                x_mm, y_mm = left_mm, y_mm + LEGEND_ROW_MM
            self.page.marks += list(_sample(kind, x_mm, y_mm))
            said = Words(words, x_mm + SAMPLE_MM + 1.5, y_mm + 1, Typeface.TEXT, WORDS_PT, GREY_INK)
            self.page.marks.append(said)
            x_mm += wide_mm + 5


def _sample(kind: str, x_mm: float, y_mm: float) -> Iterator[Line | Plate]:
    if kind in STROKES:
        width_pt, grey, dash_pt = STROKES[kind]
        yield Line(((x_mm, y_mm), (x_mm + SAMPLE_MM, y_mm)), grey, width_pt, dash_pt)
    elif kind == "hold":
        yield Plate(Box(x_mm, y_mm - 1.5, SAMPLE_MM, 3), HELD_GREY)
    elif kind == "off":
        yield Line(
            ((x_mm + SAMPLE_MM / 2, y_mm - 2), (x_mm + SAMPLE_MM / 2, y_mm + 1.5)), 0.0, 0.7, (1.5, 2.0)
        )
    else:
        yield _diamond(x_mm + SAMPLE_MM / 2, y_mm)


def _diamond(x_mm: float, y_mm: float) -> Line:
    size = DIAMOND_MM
    corners = ((x_mm, y_mm - size), (x_mm + size, y_mm), (x_mm, y_mm + size), (x_mm - size, y_mm))
    return Line(corners, 0.0, 0.8, (), 1.0)
