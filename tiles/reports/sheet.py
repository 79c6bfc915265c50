"""The report set on paper: as many pages as it takes, each with its title and its number."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from firings.report.facts import CAUTION, Report
from tiles.loading.paper.sheet import draw_shelf
from tiles.loading.shelves import ShelfPlan
from tiles.prints.cards import PAPERS
from tiles.prints.fit import Type, fit, flow
from tiles.prints.fonts import Typeface
from tiles.prints.marks import GREY_INK, Layout, Rule
from tiles.prints.stock import A4, Box
from tiles.prints.working import FOOT, HEAD, MARGIN_MM, STRONG
from tiles.reports.curve import CurveOnPaper

FOOT_MM = 11.0
GAP_MM = 6.0
# Wider than this a curve would only grow higher.
CURVE_MM = 172.0
LABEL_MM = 33.0
TITLE = Type(Typeface.BOLD, 20, 12)
LEAD = Type(Typeface.TEXT, 10.5, 8)
FIGURE = Type(Typeface.BOLD, 26, 12)
BODY = Type(Typeface.TEXT, 9.5, 9.5)
SMALL = Type(Typeface.TEXT, 8, 8)
UNKNOWN = Type(Typeface.BOLD, 12, 8)
# A shelf is drawn no higher than this, so that four stand on a page.
SHELF_MM = 100.0
LEAST_LINE_MM = 5.0
VAGUE = "Places noted in words only, such as front left, are drawn as near to them as there was room."


@dataclass(frozen=True, slots=True)
class ReportShelf:
    """One shelf: its name, the drawing where there is one, and all that stands on it by number."""

    title: str
    plan: ShelfPlan | None
    numbers: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ReportFacts:
    """All that stands on the report of one firing; `bisqued` are the tiles of a bisque firing, which stand anywhere."""

    report: Report
    shelves: tuple[ReportShelf, ...] = ()
    bisqued: tuple[str, ...] = ()
    studio: str = ""


@dataclass(slots=True)
class _Column:
    """The pages as they fill from the top down."""

    title: str
    width_mm: float
    height_mm: float
    pages: list[Layout] = field(default_factory=list)
    y_mm: float = 0.0

    @property
    def page(self) -> Layout:
        return self.pages[-1]

    @property
    def inner_mm(self) -> float:
        return self.width_mm - 2 * MARGIN_MM

    @property
    def left_mm(self) -> float:
        """How much room is left on this page [mm]."""
        return self.height_mm - MARGIN_MM - FOOT_MM - self.y_mm

    def turn(self) -> None:
        """Begin the next page, which says what it belongs to."""
        self.pages.append(Layout(self.title, self.width_mm, self.height_mm))
        self.y_mm = MARGIN_MM
        if len(self.pages) > 1:
            self.words(f"{self.title}, continued", HEAD, grey=GREY_INK)
            self.y_mm += 2

    def need(self, mm: float) -> None:
        """Turn over where there is less room than this."""
        if mm > self.left_mm and self.y_mm > MARGIN_MM + 12:
            self.turn()

    def words(
        self, text: str, kind: Type, *, x_mm: float = 0.0, width_mm: float = 0.0, grey: float = 0.0
    ) -> None:
        """A sentence or many, over as many pages as they take."""
        width_mm = width_mm or self.inner_mm - x_mm
        for line in filter(str.strip, text.splitlines()):
            rest = line
            while rest:
                self.need(LEAST_LINE_MM)
                fitted = flow(rest, kind, width_mm, self.left_mm)
                rest = fitted.overflow
                box = Box(MARGIN_MM + x_mm, self.y_mm, width_mm, fitted.height_mm)
                self.y_mm = self.page.set("words", replace(fitted, overflow=""), box, grey=grey)
                if rest:
                    self.turn()
        self.y_mm += 1.2

    def head(self, text: str, room_mm: float = 12.0) -> None:
        """A heading with room for what follows it."""
        self.need(room_mm + GAP_MM)
        self.y_mm += 3.5
        self.words(text, HEAD)

    def row(self, label: str, text: str, *, label_mm: float = LABEL_MM) -> None:
        """A label with what it says beside it."""
        self.need(LEAST_LINE_MM)
        page, at_mm = len(self.pages), self.y_mm
        box = Box(MARGIN_MM, at_mm, label_mm - 2, 12)
        fitted = flow(label, replace(BODY, floor_pt=7), label_mm - 2, 12)
        below_mm = self.page.set("label", fitted, box, grey=GREY_INK) + 1.2
        self.words(text, BODY, x_mm=label_mm)
        if len(self.pages) == page:
            self.y_mm = max(self.y_mm, below_mm)


def sheets(facts: ReportFacts, paper: str = "A4") -> list[Layout]:
    """The report's pages, each a layout as large as the paper."""
    width_mm, height_mm = PAPERS.get(paper, A4)
    report = facts.report
    column = _Column(report.title, width_mm, height_mm)
    column.turn()
    _head(column, report)
    _curve(column, report)
    _cones(column, report)
    _notes(column, report)
    _shelves(column, facts)
    for number, page in enumerate(column.pages, start=1):
        _foot(page, facts, number, len(column.pages))
    return column.pages


def _head(column: _Column, report: Report) -> None:
    """What it is of, the cone it came to, and the facts in two columns."""
    page, inner_mm = column.page, column.inner_mm
    box = Box(MARGIN_MM, column.y_mm, inner_mm - 75, 9)
    column.y_mm = page.set("title", fit(report.title, TITLE, box.width_mm, 9), box)
    lead = Box(MARGIN_MM, column.y_mm + 1, inner_mm - 75, 10)
    below_mm = page.set("kind of firing", flow(report.lead, LEAD, lead.width_mm, 10), lead)
    right = Box(MARGIN_MM + inner_mm - 72, MARGIN_MM - 1, 72, 11)
    cone = f"cone {report.reached}" if report.reached else "Reached cone not known"
    kind = FIGURE if report.reached else UNKNOWN
    said_mm = page.set("reached cone", fit(cone, kind, 72, 11), right, align="right")
    by = f"reached, {report.reached_by}" if report.reached else ""
    source = Box(right.x_mm, said_mm + 0.5, 72, 14)
    said_mm = page.set(
        "source", flow(by, Type(Typeface.TEXT, 9, 7), 72, 14), source, grey=GREY_INK, align="right"
    )
    column.y_mm = max(below_mm, said_mm) + 2.5
    page.marks.append(Rule(MARGIN_MM, column.y_mm, MARGIN_MM + inner_mm, column.y_mm, width_pt=0.8))
    column.y_mm += 2.5
    _facts(column, report.facts)
    if report.asked:
        column.row("Asked for", report.asked)


def _facts(column: _Column, facts: Sequence[tuple[str, str]]) -> None:
    """Down the left column, then down the right one."""
    half_mm, rows = column.inner_mm / 2, (len(facts) + 1) // 2
    top_mm, ends = column.y_mm, [column.y_mm]
    for number, (label, value) in enumerate(facts):
        if number == rows:
            ends.append(column.y_mm)
            column.y_mm = top_mm
        x_mm = MARGIN_MM + (half_mm if number >= rows else 0.0)
        said = flow(value, replace(BODY, floor_pt=6.5), half_mm - LABEL_MM - 3, 12)
        column.page.set(
            label, fit(label, BODY, LABEL_MM - 2, 5), Box(x_mm, column.y_mm, LABEL_MM - 2, 5), grey=GREY_INK
        )
        box = Box(x_mm + LABEL_MM, column.y_mm, half_mm - LABEL_MM - 3, 12)
        column.y_mm = column.page.set(label, said, box) + 1.2
    column.y_mm = max(*ends, column.y_mm)


def _curve(column: _Column, report: Report) -> None:
    if report.drawing:
        width_mm = min(CURVE_MM, column.inner_mm)
        height_mm = CurveOnPaper.height_mm(report.drawing, width_mm)
        column.head("Asked and fired" if report.is_logged else "Asked for; nothing is logged", height_mm + 8)
        CurveOnPaper(report.drawing, column.page, MARGIN_MM, column.y_mm, width_mm).draw()
        column.y_mm += height_mm + 2
    for label, value in report.heat:
        column.row(label, value)
    for words in report.noticed:
        column.words(words, SMALL, grey=GREY_INK)


def _cones(column: _Column, report: Report) -> None:
    if not report.cones:
        return
    column.head("Witness cones")
    for place, bends, says in report.cones:
        column.row(place, f"{bends}: cone {says}" if says else bends)


def _notes(column: _Column, report: Report) -> None:
    if not report.notes:
        return
    column.head("Notes")
    for when, text in report.notes:
        column.row(when, text, label_mm=LABEL_MM + 8)


def _shelves(column: _Column, facts: ReportFacts) -> None:
    """What stood where: two shelves side by side, seen from above, top shelf first."""
    drawn = [shelf for shelf in facts.shelves if shelf.plan]
    if drawn:
        column.head("What stood where, top shelf first", _pair_mm(column, drawn[:2]) + 10)
        column.y_mm += 1.5
    for left, right in zip(drawn[::2], [*drawn[1::2], None], strict=False):
        _pair(column, [shelf for shelf in (left, right) if shelf])
    for shelf in facts.shelves:
        if not shelf.plan:
            column.head(shelf.title)
            column.words(", ".join(shelf.numbers), BODY)
    if facts.bisqued:
        column.head("Tiles in this bisque firing")
        column.words(", ".join(facts.bisqued), BODY)
    if any(not spot.is_exact for shelf in drawn if shelf.plan for spot in shelf.plan.spots):
        column.words(VAGUE, SMALL, grey=GREY_INK)


def _pair(column: _Column, shelves: Sequence[ReportShelf]) -> None:
    width_mm = (column.inner_mm - GAP_MM) / 2
    column.need(_pair_mm(column, shelves))
    top_mm, ends, bare = column.y_mm, [column.y_mm], []
    for number, shelf in enumerate(shelves):
        x_mm = MARGIN_MM + number * (width_mm + GAP_MM)
        box = Box(x_mm, top_mm, width_mm, 6)
        y_mm = column.page.set("shelf", fit(shelf.title, STRONG, width_mm, 6), box) + 1.5
        if shelf.plan:
            room = Box(x_mm, y_mm, width_mm, min(SHELF_MM, column.height_mm - MARGIN_MM - FOOT_MM - y_mm))
            end_mm, unnumbered = draw_shelf(column.page, shelf.plan, room)
            ends.append(end_mm)
            if unnumbered:
                bare.append(
                    f"{shelf.title.partition(' from')[0]}, too small for a number: {', '.join(unnumbered)}."
                )
    column.y_mm = max(ends)
    for words in bare:
        column.words(words, SMALL)
    column.y_mm += 3


def _pair_mm(column: _Column, shelves: Sequence[ReportShelf]) -> float:
    """How much room two shelves side by side take, with their titles and what stands below them."""
    width_mm = (column.inner_mm - GAP_MM) / 2
    return max(_drawn_mm(shelf.plan, width_mm) for shelf in shelves if shelf.plan) + 20


def _drawn_mm(plan: ShelfPlan, width_mm: float) -> float:
    """How high a shelf comes out."""
    return min(SHELF_MM, plan.room.depth_mm * width_mm / plan.room.width_mm + 12)


def _foot(page: Layout, facts: ReportFacts, number: int, pages: int) -> None:
    inner_mm, y_mm = page.width_mm - 2 * MARGIN_MM, page.height_mm - MARGIN_MM - 8.5
    page.set("caution", fit(CAUTION, FOOT, inner_mm, 4), Box(MARGIN_MM, y_mm, inner_mm, 4))
    y_mm += 4.5
    words = " · ".join(filter(None, (facts.studio, facts.report.printed)))
    page.set(
        "printed", fit(words, FOOT, inner_mm - 30, 4), Box(MARGIN_MM, y_mm, inner_mm - 30, 4), grey=GREY_INK
    )
    box = Box(MARGIN_MM + inner_mm - 28, y_mm, 28, 4)
    page.set("page", fit(f"page {number} of {pages}", FOOT, 28, 4), box, grey=GREY_INK, align="right")
