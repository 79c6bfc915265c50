"""The answer sheet as marks on one page: question, how sure, photographs, what was found, what to mind."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tiles.prints import codes
from tiles.prints.cards import CAUTION, PAPERS, SURROUND_GREY
from tiles.prints.fit import Type, fit, flow
from tiles.prints.fonts import Typeface
from tiles.prints.hanging import FOOT
from tiles.prints.marks import GREY_INK, Layout, Picture, Plate
from tiles.prints.rows import Row, paragraph, set_rows
from tiles.prints.stock import A4, Box

MARGIN_MM = 14.0
CODE_MM = 22.0
HEAD_MM = 30.0
FOOT_MM = 8.0
PHOTOS_ACROSS = 4
GAP_MM = 3.0

TITLE = Type(Typeface.BOLD, 20, 12)
SURE = Type(Typeface.TEXT, 12, 9)
HEAD = Type(Typeface.BOLD, 11.5, 7)
BODY = Type(Typeface.TEXT, 9.5, 6)


@dataclass(frozen=True, slots=True)
class Part:
    """A heading and the paragraphs under it."""

    heading: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SheetFacts:
    """All that stands on the page."""

    question: str
    sure: str
    photos: tuple[Path, ...]
    parts: tuple[Part, ...]
    address: str
    studio: str = ""


def lay_out(facts: SheetFacts, paper: str = "A4") -> Layout:
    """The page. Words shrink together until all of them fit; what does not is reported."""
    width_mm, height_mm = PAPERS.get(paper, A4)
    layout = Layout(facts.question, width_mm, height_mm)
    inner_mm = width_mm - 2 * MARGIN_MM
    _head(layout, facts)
    y_mm = MARGIN_MM + HEAD_MM
    if facts.photos:
        y_mm = _photos(layout, facts, y_mm, inner_mm) + GAP_MM
    floor_mm = height_mm - MARGIN_MM - FOOT_MM
    rows = list(_rows(facts, inner_mm))
    set_rows(layout, lambda scale: rows, Box(MARGIN_MM, y_mm, inner_mm, floor_mm - y_mm))
    words = " ".join(filter(None, (CAUTION, facts.studio)))
    box = Box(MARGIN_MM, floor_mm + 2, inner_mm, FOOT_MM - 2)
    layout.set("foot", flow(words, FOOT, inner_mm, FOOT_MM - 2), box, grey=GREY_INK)
    return layout


def _head(layout: Layout, facts: SheetFacts) -> None:
    inner_mm = layout.width_mm - 2 * MARGIN_MM - CODE_MM - 4
    title = fit(facts.question, TITLE, inner_mm, 17)
    y_mm = layout.set("question", title, Box(MARGIN_MM, MARGIN_MM, inner_mm, 17))
    left_mm = MARGIN_MM + HEAD_MM - y_mm - 2
    sure = flow(facts.sure, SURE, inner_mm, left_mm)
    layout.set("how sure", sure, Box(MARGIN_MM, y_mm + 1, inner_mm, left_mm), grey=GREY_INK)
    quiet_mm = codes.QUIET_MODULES * codes.module_mm(facts.address, CODE_MM)
    right_mm = layout.width_mm - MARGIN_MM + quiet_mm
    layout.code(facts.address, Box(right_mm - CODE_MM, MARGIN_MM - quiet_mm, CODE_MM, CODE_MM))


def _photos(layout: Layout, facts: SheetFacts, y_mm: float, inner_mm: float) -> float:
    side_mm = (inner_mm - (PHOTOS_ACROSS - 1) * GAP_MM) / PHOTOS_ACROSS
    for place, photo in enumerate(facts.photos[:PHOTOS_ACROSS]):
        box = Box(MARGIN_MM + place * (side_mm + GAP_MM), y_mm, side_mm, side_mm)
        layout.marks += [Plate(box, SURROUND_GREY), Picture(photo, box.inset(1.0))]
    return y_mm + side_mm


def _rows(facts: SheetFacts, width_mm: float) -> Iterator[Row]:
    for part in facts.parts:
        yield paragraph("heading", part.heading, HEAD, width_mm, gap_mm=4)
        for line in part.lines:
            yield paragraph(part.heading.lower(), line, BODY, width_mm, gap_mm=1.2)
