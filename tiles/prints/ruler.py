"""The ruler page: printed uncorrected and measured by hand, it tells what a printer misses by; and its check page.

A printer that stretches and shifts puts what is meant at `x` down at `a·x + b`, each way by itself. The two rulers tell
`a`, the corner mark tells `b`; drawn at `x/a − b/a`, everything comes out at `x`.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from tiles.prints.fit import Type, fit, flow
from tiles.prints.fonts import Typeface
from tiles.prints.marks import GREY_INK, Layout, Rule, strokes
from tiles.prints.paper import Page, Paper, placed_page
from tiles.prints.stock import Box, Calibration

# Long enough that half a millimetre misread is a third of a percent; short enough for A4 and Letter both.
ACROSS_MM, DOWN_MM = 150.0, 200.0
# Where the corner mark lies from the paper's left and upper edge; every printer reaches that far out.
LEFT_MM, TOP_MM = 25.0, 25.0
# Beyond this the page was scaled by the print window, or misread.
MOST_STRETCH = 0.06
MOST_SHIFT_MM = 12.0

TITLE = Type(Typeface.BOLD, 16, 10)
TEXT = Type(Typeface.TEXT, 10, 7, 1.35)
STRONG = Type(Typeface.BOLD, 10, 7)
FIGURE = Type(Typeface.TEXT, 7, 6)
# Lengths of the rulers' strokes at every millimetre, five and ten.
STROKES_MM = (1.8, 3.0, 4.5)


@dataclass(frozen=True, slots=True)
class Measured:
    """What a person read off the printed page [mm]."""

    across_mm: float
    down_mm: float
    left_mm: float
    top_mm: float

    @property
    def calibration(self) -> Calibration:
        """What makes this printer print true.

        >>> Measured(150, 200, 25, 25).calibration == Calibration()
        True
        >>> Measured(148.5, 200, 25, 26).calibration.offset_y_mm
        -1.0
        """
        stretch_x, stretch_y = self.across_mm / ACROSS_MM, self.down_mm / DOWN_MM
        return Calibration(
            offset_x_mm=-(self.left_mm - stretch_x * LEFT_MM) / stretch_x + 0.0,
            offset_y_mm=-(self.top_mm - stretch_y * TOP_MM) / stretch_y + 0.0,
            scale_x=1 / stretch_x,
            scale_y=1 / stretch_y,
        )

    @property
    def words(self) -> str:
        """What the printer does: 1.0 % too narrow, 0.5 % too tall, 1.2 mm too far right, 0.4 mm too high."""
        shift_x = self.left_mm - self.across_mm / ACROSS_MM * LEFT_MM
        shift_y = self.top_mm - self.down_mm / DOWN_MM * TOP_MM
        said = [
            _stretch_words(self.across_mm / ACROSS_MM - 1, "wide", "narrow"),
            _stretch_words(self.down_mm / DOWN_MM - 1, "tall", "low"),
            _shift_words(shift_x, "right", "left"),
            _shift_words(shift_y, "low", "high"),
        ]
        return ", ".join(filter(None, said)) or "true to a tenth of a millimetre"

    def problems(self) -> Iterator[tuple[str, str]]:
        """Fields and what is amiss with their figures."""
        pairs = (("across_mm", self.across_mm, ACROSS_MM), ("down_mm", self.down_mm, DOWN_MM))
        for name, read_mm, meant_mm in pairs:
            if abs(read_mm / meant_mm - 1) > MOST_STRETCH:
                yield (
                    name,
                    f"{read_mm:g} mm is far from {meant_mm:g} mm. Print the page again at 100 %, not “fit to page”, "
                    "and measure from the first long stroke to the last.",
                )
        for name, read_mm, meant_mm in (("left_mm", self.left_mm, LEFT_MM), ("top_mm", self.top_mm, TOP_MM)):
            if abs(read_mm - meant_mm) > MOST_SHIFT_MM:
                yield (
                    name,
                    f"{read_mm:g} mm is far from {meant_mm:g} mm. Measure from the paper’s edge to the corner mark.",
                )


def _stretch_words(share: float, more: str, less: str) -> str:
    return f"{abs(share) * 100:.1f} % too {more if share > 0 else less}" if abs(share) >= 0.0005 else ""


def _shift_words(shift_mm: float, more: str, less: str) -> str:
    far = "too far " if more == "right" else "too "
    return f"{abs(shift_mm):.1f} mm {far}{more if shift_mm > 0 else less}" if abs(shift_mm) >= 0.05 else ""


def ruler_page(paper: str, size: tuple[float, float]) -> Page:
    """The page to measure. It is printed without any correction."""
    layout = _rulers(size, 0.0)
    title, steps = (
        f"Ruler page, {paper}",
        (
            "Print this page at 100 %, not “fit to page”, on the printer and tray you mean to use.",
            "A: lay a steel rule along the upper ruler and measure from its first long stroke to its last.",
            "B: the same along the ruler that runs down.",
            "C: from the left edge of the paper to the upright line of the corner mark.",
            "D: from the upper edge of the paper to the level line of the corner mark.",
            "Type the four figures in. Half a millimetre matters; a tenth is as near as one reads.",
        ),
    )
    _words(layout, title, steps, size)
    return placed_page(*size, [(layout, Box(0, 0, *size))])


def check_page(printer: str, size: tuple[float, float], calibration: Calibration) -> Page:
    """Before and after on one page: the rulers in black as corrected, and in grey as they came out uncorrected.

    The page itself is drawn with the calibration in force; what is to look uncorrected is drawn with it taken back.
    """
    after, before = _rulers(size, 0.0), _rulers(size, 0.6)
    steps = (
        "Black: with the correction. Its rulers should measure 150.0 and 200.0 mm, and the corner lie 25.0 mm "
        "from both edges.",
        "Grey: as the printer puts it without correction.",
        "Where black is still off, measure the ruler page once more.",
    )
    _words(after, f"Check page, {printer}", steps, size)
    whole = Box(0, 0, *size)

    def draw(paper: Paper) -> None:
        paper.draw(before, taken_back(calibration, whole))
        paper.draw(after, whole)

    return Page(*size, draw)


def taken_back(calibration: Calibration, box: Box) -> Box:
    """Where a box must be drawn under a calibration to come out as if there were none."""
    return Box(
        (box.x_mm - calibration.offset_x_mm) / calibration.scale_x,
        (box.y_mm - calibration.offset_y_mm) / calibration.scale_y,
        box.width_mm / calibration.scale_x,
        box.height_mm / calibration.scale_y,
    )


def _rulers(size: tuple[float, float], grey: float) -> Layout:
    """The corner mark and both rulers, which begin at it."""
    layout = Layout("ruler", *size)
    layout.marks += [
        Rule(LEFT_MM, TOP_MM - 8, LEFT_MM, TOP_MM + 8, grey, 0.5),
        Rule(LEFT_MM - 8, TOP_MM, LEFT_MM + 8, TOP_MM, grey, 0.5),
    ]
    side = 0.0 if grey else 4.0
    for at_mm, stroke_mm in strokes(ACROSS_MM, STROKES_MM):
        x_mm = LEFT_MM + at_mm
        layout.marks.append(
            Rule(x_mm, TOP_MM + 14, x_mm, TOP_MM + 14 + stroke_mm * (0.6 if grey else 1), grey, 0.4)
        )
        if at_mm % 10 == 0 and side:
            _figure(layout, at_mm, Box(x_mm - 6, TOP_MM + 14 + side + 0.8, 12, 4), "centre")
    for at_mm, stroke_mm in strokes(DOWN_MM, STROKES_MM):
        y_mm = TOP_MM + at_mm
        layout.marks.append(
            Rule(LEFT_MM - 14, y_mm, LEFT_MM - 14 + stroke_mm * (0.6 if grey else 1), y_mm, grey, 0.4)
        )
        if at_mm % 10 == 0 and at_mm and side:
            _figure(layout, at_mm, Box(LEFT_MM - 14 + side + 1.2, y_mm - 1.5, 12, 4), "left")
    return layout


def _figure(layout: Layout, at_mm: int, place: Box, align: str) -> None:
    layout.set("ruler", fit(f"{at_mm}", FIGURE, place.width_mm, place.height_mm), place, align=align)  # type: ignore[arg-type]


def _words(layout: Layout, title: str, steps: tuple[str, ...], size: tuple[float, float]) -> None:
    """Title, steps and the letters of what is measured, beside the rulers."""
    x_mm, y_mm, width_mm = LEFT_MM + 35, TOP_MM + 32, size[0] - LEFT_MM - 35 - 20
    y_mm = layout.set("title", fit(title, TITLE, width_mm, 10), Box(x_mm, y_mm, width_mm, 10)) + 3
    for step in steps:
        y_mm = layout.set("step", flow(step, TEXT, width_mm, 30), Box(x_mm, y_mm, width_mm, 30)) + 2
    for letter, x, y in (
        ("A", LEFT_MM + ACROSS_MM + 3, TOP_MM + 14),
        ("B", LEFT_MM - 14, TOP_MM + DOWN_MM + 2),
        ("C", LEFT_MM - 15, TOP_MM - 5),
        ("D", LEFT_MM + 2, TOP_MM - 15),
    ):
        layout.set(letter, fit(letter, STRONG, 6, 6), Box(x, y, 6, 6))
    note = "Tilewright"
    layout.set(note, fit(note, FIGURE, 40, 4), Box(x_mm, size[1] - 16, 40, 4), grey=GREY_INK)
