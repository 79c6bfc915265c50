"""The range sheet as marks on one page, laid across or upright, whichever lets the photographs be larger."""

from dataclasses import dataclass
from pathlib import Path

from tiles.prints import codes
from tiles.prints.cards import CAUTION, HAIRLINE_GREY, SURROUND_GREY
from tiles.prints.fit import Type, fit, flow
from tiles.prints.fonts import Typeface
from tiles.prints.hanging import FOOT, LEAD, MARGIN_MM, TITLE
from tiles.prints.marks import GREY_INK, Layout, Picture, Plate
from tiles.prints.papers import SHEET_PAPERS
from tiles.prints.stock import A4, Box

CODE_MM = 20.0
HEAD_MM = 22.0
FOOT_MM = 7.0
COLUMN_WORDS_MM = 8.0
ROW_WORDS_MM = 26.0
GAP_MM = 1.6
PHOTO_PAD_MM = 0.8
# Below this a photograph on paper shows a colour and no more.
LEAST_PHOTO_MM = 9.0

LEVEL = Type(Typeface.BOLD, 9, 6)
SEEN = Type(Typeface.NARROW, 7.5, 5.5, 1.12)


@dataclass(frozen=True, slots=True)
class CellFacts:
    """A cell: what was seen, how many results stand behind it, and a photograph; nothing of them where it is empty."""

    seen: str = ""
    n: int = 0
    photo: Path | None = None


@dataclass(frozen=True, slots=True)
class SheetFacts:
    """All that stands on the page.

    cells : row by row
    held : what all cells share, such as "on bare clay"
    note : what may differ within a cell, and what was left out
    """

    title: str
    held: str
    note: str
    rows: tuple[str, ...]
    columns: tuple[str, ...]
    cells: tuple[tuple[CellFacts, ...], ...]
    address: str
    studio: str = ""


def lay_out(facts: SheetFacts, paper: str = "A4") -> Layout:
    """The page, turned so that its photographs come out larger."""
    width_mm, height_mm = SHEET_PAPERS.get(paper, A4)
    sizes = ((height_mm, width_mm), (width_mm, height_mm))
    return _laid_out(facts, *max(sizes, key=lambda size: min(_cell_mm(facts, *size))))


def _cell_mm(facts: SheetFacts, width_mm: float, height_mm: float) -> tuple[float, float]:
    """Width and height of a cell's photograph on a page of that size."""
    across = (width_mm - 2 * MARGIN_MM - ROW_WORDS_MM) / max(len(facts.columns), 1) - GAP_MM
    down_mm = height_mm - 2 * MARGIN_MM - HEAD_MM - COLUMN_WORDS_MM - FOOT_MM
    down = down_mm / max(len(facts.rows), 1) - GAP_MM
    words_mm = _words_mm(min(across, down))
    photo_mm = min(across, down - words_mm)
    return photo_mm, photo_mm


def _words_mm(side_mm: float) -> float:
    """Room for two to three lines under a photograph of that width."""
    return min(max(0.22 * side_mm, 5.5), 9.0)


def _laid_out(facts: SheetFacts, width_mm: float, height_mm: float) -> Layout:
    layout = Layout(facts.title, width_mm, height_mm)
    photo_mm, _ = _cell_mm(facts, width_mm, height_mm)
    words_mm = _words_mm(photo_mm)
    _head(layout, facts)
    _foot(layout, facts)
    left_mm, top_mm = MARGIN_MM + ROW_WORDS_MM, MARGIN_MM + HEAD_MM + COLUMN_WORDS_MM
    across_mm, down_mm = photo_mm + GAP_MM, photo_mm + words_mm + GAP_MM
    for place, words in enumerate(facts.columns):
        box = Box(left_mm + place * across_mm, top_mm - COLUMN_WORDS_MM + 1, photo_mm, COLUMN_WORDS_MM - 1.5)
        layout.set("column", fit(words, LEVEL, box.width_mm, box.height_mm), box)
    for row, words in enumerate(facts.rows):
        y_mm = top_mm + row * down_mm
        box = Box(MARGIN_MM, y_mm, ROW_WORDS_MM - 2, photo_mm)
        layout.set("row", flow(words, LEVEL, box.width_mm, box.height_mm), box)
        for column, cell in enumerate(facts.cells[row]):
            _cell(layout, cell, Box(left_mm + column * across_mm, y_mm, photo_mm, photo_mm), words_mm)
    if photo_mm < LEAST_PHOTO_MM:
        layout.warnings.append(
            f"So many rows and columns leave {photo_mm:.0f} mm for a photo. Hold a condition to print fewer."
        )
    return layout


def _head(layout: Layout, facts: SheetFacts) -> None:
    inner_mm = layout.width_mm - 2 * MARGIN_MM - CODE_MM - 4
    y_mm = layout.set("title", fit(facts.title, TITLE, inner_mm, 11), Box(MARGIN_MM, MARGIN_MM, inner_mm, 11))
    box = Box(MARGIN_MM, y_mm + 0.8, inner_mm, MARGIN_MM + HEAD_MM - y_mm - 2)
    layout.set("what is held", flow(facts.held, LEAD, inner_mm, box.height_mm), box, grey=GREY_INK)
    quiet_mm = codes.QUIET_MODULES * codes.module_mm(facts.address, CODE_MM)
    right_mm = layout.width_mm - MARGIN_MM + quiet_mm
    layout.code(facts.address, Box(right_mm - CODE_MM, MARGIN_MM - quiet_mm, CODE_MM, CODE_MM))


def _foot(layout: Layout, facts: SheetFacts) -> None:
    inner_mm = layout.width_mm - 2 * MARGIN_MM
    words = " ".join(filter(None, (facts.note, CAUTION, facts.studio)))
    box = Box(MARGIN_MM, layout.height_mm - MARGIN_MM - FOOT_MM + 1, inner_mm, FOOT_MM)
    layout.set("foot", flow(words, FOOT, inner_mm, FOOT_MM), box, grey=GREY_INK)


def _cell(layout: Layout, cell: CellFacts, place: Box, words_mm: float) -> None:
    if not cell.n:
        layout.marks.append(Plate(place, HAIRLINE_GREY, filled=False))
        middle = Box(place.x_mm, place.y_mm + place.height_mm / 2 - 1.5, place.width_mm, 4)
        layout.set(
            "cell", fit("not fired yet", SEEN, place.width_mm, 4), middle, grey=GREY_INK, align="centre"
        )
        return
    if cell.photo:
        layout.marks.append(Plate(place, SURROUND_GREY))
        layout.marks.append(Picture(cell.photo, place.inset(PHOTO_PAD_MM)))
    else:
        layout.marks.append(Plate(place, HAIRLINE_GREY, filled=False))
    box = Box(place.x_mm, place.bottom_mm + 0.4, place.width_mm, words_mm - 0.4)
    words = f"{cell.seen} · n {cell.n}" if cell.seen else f"n {cell.n}"
    layout.set("cell", flow(words, SEEN, box.width_mm, box.height_mm), box)
