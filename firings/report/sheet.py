"""The report of a firing as a PDF: what is set, in which order; lengths in points."""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from io import BytesIO
from typing import Any

from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, KeepTogether, Paragraph, SimpleDocTemplate, Spacer, Table

from firings.curves.drawing import Drawing
from firings.report import faces

PAPERS = {"A4": A4, "Letter": LETTER}
MARGIN = 18 * mm
CAUTION = (
    "A record of a firing, no statement about food safety. Kilns and wiring follow local codes and the work of "
    "licensed trades; the maker’s instructions come first."
)


@dataclass(frozen=True, slots=True)
class Report:
    """All that stands on a report, in words. `facts` and `heat` are label and value; `cones` and `notes` rows."""

    title: str
    lead: str
    reached: str
    facts: Sequence[tuple[str, str]]
    heat: Sequence[tuple[str, str]] = ()
    noticed: Sequence[str] = ()
    cones: Sequence[tuple[str, str, str]] = ()
    notes: Sequence[tuple[str, str]] = ()
    drawing: Drawing | None = None
    printed: str = ""


class CurveDrawing(Flowable):
    """A drawing of the page, set to the paper's width; y turned upwards."""

    def __init__(self, drawn: Drawing, width: float) -> None:
        super().__init__()
        self.drawn = drawn
        self.scale = width / drawn.sheet.width
        self.width, self.height = width, drawn.sheet.height * self.scale

    def draw(self) -> None:
        self.canv.scale(self.scale, self.scale)
        self._fields()
        self._lines()
        self._marks()

    def _y(self, y: float) -> float:
        return self.drawn.sheet.height - y

    def _fields(self) -> None:
        """The held top, the scales' lines and their words."""
        drawn, pen = self.drawn, self.canv
        panels = ((drawn.upper_top, drawn.upper_floor), (drawn.lower_top, drawn.lower_floor))
        pen.setFont(faces.TEXT, 11)
        pen.setStrokeGray(0.82)
        pen.setLineWidth(0.6)
        for top, floor in panels:
            if drawn.hold:
                pen.setFillGray(0.92)
                pen.rect(drawn.hold[0], self._y(floor), drawn.hold[1], floor - top, stroke=0, fill=1)
            for mark in drawn.hours:
                pen.line(mark.x, self._y(top), mark.x, self._y(floor))
        pen.setFillGray(0.25)
        for mark in (*drawn.degrees, *drawn.gathered):
            pen.line(drawn.left, self._y(mark.y), drawn.edge, self._y(mark.y))
            pen.drawRightString(drawn.degrees_x, self._y(mark.y) - 4, mark.words)
        for mark in drawn.hours:
            pen.drawCentredString(mark.x, self._y(drawn.hours_y), mark.words)
        for mark in drawn.cones:
            pen.drawString(drawn.cones_x, self._y(mark.y) - 4, mark.words)
        pen.drawString(drawn.left, self._y(drawn.upper_words_y), f"°{drawn.unit}")
        pen.drawRightString(drawn.sheet.width, self._y(drawn.upper_words_y), f"cone at {drawn.cone_rate}")
        pen.drawString(drawn.left, self._y(drawn.lower_words_y), "cone so far")
        pen.drawRightString(drawn.edge, self._y(drawn.foot_y), "hours")

    def _lines(self) -> None:
        for line in (*self.drawn.lines, self.drawn.cone_line):
            if len(line.points) < 2:
                continue
            self.canv.setStrokeGray(0.6 if line.kind == "sensor" else 0.0)
            self.canv.setLineWidth(0.6 if line.kind == "sensor" else 1.4)
            self.canv.setDash([6, 4] if line.kind == "programme" else [])
            path = self.canv.beginPath()
            path.moveTo(line.points[0][0], self._y(line.points[0][1]))
            for x, y in line.points[1:]:
                path.lineTo(x, self._y(y))
            self.canv.drawPath(path)
        self.canv.setDash([])

    def _marks(self) -> None:
        """Switching off, the hottest point, the witness cones."""
        drawn, pen = self.drawn, self.canv
        pen.setFillGray(0.0)
        pen.setFont(faces.BOLD, 11)
        say = pen.drawRightString if drawn.peak.anchor == "end" else pen.drawString
        say(drawn.peak.x, self._y(drawn.peak.y), drawn.peak.words)
        pen.setLineWidth(1)
        if drawn.off is not None:
            pen.setDash([2, 3])
            pen.line(drawn.off, self._y(drawn.upper_top), drawn.off, self._y(drawn.upper_floor))
            pen.line(drawn.off, self._y(drawn.lower_top), drawn.off, self._y(drawn.lower_floor))
            pen.setDash([])
        for diamond in drawn.diamonds:
            for y in (diamond.y, diamond.cone_y):
                self._diamond(diamond.x, self._y(y))

    def _diamond(self, x: float, y: float) -> None:
        path = self.canv.beginPath()
        path.moveTo(x, y - 5)
        for corner in ((x + 5, y), (x, y + 5), (x - 5, y)):
            path.lineTo(*corner)
        path.close()
        self.canv.setFillGray(1.0)
        self.canv.drawPath(path, fill=1, stroke=1)


def _styles() -> dict[str, ParagraphStyle]:
    body = ParagraphStyle("body", fontName=faces.TEXT, fontSize=9.5, leading=13)
    return {
        "body": body,
        "title": ParagraphStyle("title", body, fontName=faces.BOLD, fontSize=18, leading=23),
        "head": ParagraphStyle(
            "head", body, fontName=faces.BOLD, fontSize=11, leading=15, spaceBefore=9, keepWithNext=1
        ),
        "small": ParagraphStyle("small", body, fontSize=8, leading=11),
    }


def _pairs(rows: Sequence[Sequence[str]], style: ParagraphStyle, widths: Sequence[float]) -> Table:
    cells = [[Paragraph(escape(cell), style) for cell in row] for row in rows]
    padding = [(f"{side}PADDING", (0, 0), (-1, -1), 1) for side in ("LEFT", "TOP", "BOTTOM")]
    return Table(
        cells, colWidths=widths, style=[("VALIGN", (0, 0), (-1, -1), "TOP"), *padding], hAlign="LEFT"
    )


def story_of(report: Report, width: float) -> list[Any]:
    """The report's parts from the top down; parts with nothing in them are left out."""
    styles = _styles()
    body, head = styles["body"], styles["head"]
    story: list[Any] = [
        Paragraph(escape(report.title), styles["title"]),
        Paragraph(escape(report.lead), body),
    ]
    story += [Paragraph("Reached cone", head), Paragraph(escape(report.reached), body)]
    story += [Paragraph("Facts", head), _pairs(report.facts, body, (120, width - 120))]
    if report.drawing:
        drawn = CurveDrawing(report.drawing, width)
        story.append(KeepTogether([Paragraph("Logged curve", head), Spacer(0, 4), drawn]))
    if report.heat:
        story.append(_pairs(report.heat, body, (120, width - 120)))
    story += [Paragraph(escape(words), styles["small"]) for words in report.noticed]
    if report.cones:
        rows = [("Place", "Cones and bend", "Says"), *report.cones]
        story += [Paragraph("Witness cones", head), _pairs(rows, body, (120, width - 200, 80))]
    if report.notes:
        story.append(Paragraph("Notes", head))
        story += [Paragraph(f"<b>{escape(when)}</b> {escape(text)}", body) for when, text in report.notes]
    return [
        *story,
        Spacer(0, 10),
        Paragraph(CAUTION, styles["small"]),
        Paragraph(escape(report.printed), styles["small"]),
    ]


def report_pdf(report: Report, paper: str) -> bytes:
    """The report as a PDF file on A4 or Letter."""
    faces.register()
    target = BytesIO()
    sheet = SimpleDocTemplate(
        target,
        pagesize=PAPERS[paper],
        title=report.title,
        leftMargin=MARGIN,
        rightMargin=MARGIN,
        topMargin=MARGIN,
        bottomMargin=MARGIN,
    )
    # a frame keeps 6 pt of its own on either side
    sheet.build(story_of(report, sheet.width - 12))
    return target.getvalue()
