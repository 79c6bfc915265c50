"""Labels for tiles and boards: number, stack, body and cone, and a code, from 25 mm wide upwards."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from tiles.prints import codes, fonts
from tiles.prints.fit import PT_PER_MM, Type, fit
from tiles.prints.fonts import Typeface
from tiles.prints.marks import GREY_INK, Layout, Note
from tiles.prints.paper import Page, Paper, Printed, print_pages
from tiles.prints.rows import Row, can_fit, paragraph, set_rows
from tiles.prints.stock import TRUE_PRINTER, Box, Calibration, Stock, free_places

# Five points is the least that is still read at arm's length on a small label (common practice, no source).
FLOOR_PT = 5.0
# The conditions line is a sentence to be read, not a mark to be known again (common practice, no source).
LINE_FLOOR_PT = 6.0
# Above a whole line the stack stays readable from a step away.
STACK_FLOOR_PT = 8.0
LARGEST_CODE_MM = 30.0
CODE_SHARE = 0.34
# From this share of width to height the code stands beside the words, else below them.
WIDE = 1.3


@dataclass(frozen=True, slots=True)
class LabelFacts:
    """What one label says. All words as they are to be read; `address` is the studio's, for the code.

    `line` is the conditions line, which goes before the few words of `conditions` wherever it has room.
    """

    number: str
    stack: str
    conditions: str
    address: str
    line: str = ""


@dataclass(frozen=True, slots=True)
class LabelJob:
    """How labels are to be printed: on which stock, from which cell (counted from 1), with codes or without.

    `used` are cells of the first sheet that are gone, beside those before the first cell.
    """

    stock: Stock
    start_cell: int = 1
    used: frozenset[int] = frozenset()
    codes: bool = True
    title: str = "Labels"
    studio: str = ""
    calibration: Calibration = TRUE_PRINTER


def print_labels(facts: Sequence[LabelFacts], job: LabelJob) -> Printed:
    """Labels on as many sheets as they take. Raises IndexError when a cell is not on the sheet."""
    return print_pages(pages_of(facts, job), title=job.title, author=job.studio, calibration=job.calibration)


def pages_of(facts: Sequence[LabelFacts], job: LabelJob) -> list[Page]:
    """The sheets the labels take; each label is laid out when its sheet is drawn."""
    places = free_places(job.stock, len(facts), job.start_cell, job.used)
    sheets = [
        list(on_sheet) for _, on_sheet in groupby(zip(facts, places, strict=True), lambda pair: pair[1][0])
    ]
    return [_page([(label, place) for label, (_, place) in pairs], job) for pairs in sheets]


def _page(placed: Sequence[tuple[LabelFacts, Box]], job: LabelJob) -> Page:
    def draw(paper: Paper) -> None:
        for label, place in placed:
            paper.draw(lay_out(label, job.stock, with_code=job.codes), place)

    return Page(job.stock.sheet_width_mm, job.stock.sheet_height_mm, draw, job.stock.name)


def notes_on(facts: Sequence[LabelFacts], job: LabelJob) -> list[Note]:
    """What is to be said before printing: words without room, letters without glyph, codes too fine."""
    layouts = (lay_out(label, job.stock, with_code=job.codes) for label in facts)
    return [note for layout in layouts for note in layout.notes]


def lay_out(facts: LabelFacts, stock: Stock, *, with_code: bool = True) -> Layout:
    """One label: the code at the right of the words on wide labels, below them on square and tall ones."""
    layout = Layout(facts.number, stock.label_width_mm, stock.label_height_mm)
    words = _inner(stock)
    if with_code:
        content = codes.tile_address(facts.address, facts.number)
        code, words = _divided(stock, content)
        layout.code(content, code)
    _set_words(layout, facts, words)
    return layout


def _inner(stock: Stock) -> Box:
    """Without the white at the edges, as sheets are fed a little askew: 1.2 mm on small labels, 3 mm on large ones."""
    margin = max(1.2, min(3.0, 0.07 * min(stock.label_width_mm, stock.label_height_mm)))
    return Box(0, 0, stock.label_width_mm, stock.label_height_mm).inset(margin)


def _is_wide(stock: Stock) -> bool:
    return stock.label_width_mm >= WIDE * stock.label_height_mm


def _divided(stock: Stock, content: str) -> tuple[Box, Box]:
    """The square of the code with its quiet zone, and the box that is left for words.

    The dark modules, not the quiet zone, line up with the words; the quiet zone never leaves the label.
    """
    width, height, inner = stock.label_width_mm, stock.label_height_mm, _inner(stock)
    wanted_mm = max(1.1 * codes.least_side_mm(content), CODE_SHARE * max(width, height))
    side = min(width, height, LARGEST_CODE_MM, wanted_mm)
    quiet = codes.QUIET_MODULES * codes.module_mm(content, side)
    if _is_wide(stock):
        x, y = (
            min(width - side, inner.right_mm + quiet - side),
            max(0.0, min(inner.y_mm - quiet, height - side)),
        )
        return Box(x, y, side, side), Box(inner.x_mm, inner.y_mm, x - inner.x_mm, inner.height_mm)
    x, y = max(0.0, inner.x_mm - quiet), min(height - side, inner.bottom_mm + quiet - side)
    return Box(x, y, side, side), Box(inner.x_mm, inner.y_mm, inner.width_mm, y - inner.y_mm)


def _set_words(layout: Layout, facts: LabelFacts, box: Box) -> None:
    """Number, stack, conditions from the top down."""
    number = fit(facts.number, _number_type(box), box.width_mm, box.height_mm)
    above_caps_mm = (fonts.ASCENT - fonts.CAP_HEIGHT) * number.size_pt / PT_PER_MM
    top = Box(box.x_mm, box.y_mm - above_caps_mm, box.width_mm, box.height_mm)
    y_mm = layout.set("number", number, top) + 0.1 * number.size_pt / PT_PER_MM
    rest = Box(box.x_mm, y_mm, box.width_mm, max(0.0, box.bottom_mm - y_mm))
    rows = _rows_for(facts, box, rest.height_mm)
    set_rows(layout, lambda scale: rows, rest)


def _number_type(box: Box) -> Type:
    """The number takes about a third of the height."""
    size_pt = max(7.0, min(40.0, 0.34 * box.height_mm * PT_PER_MM))
    return Type(Typeface.BOLD, size_pt, min(size_pt, 6.0), 1.0)


def _rows_for(facts: LabelFacts, box: Box, height_mm: float) -> list[Row]:
    """Stack and conditions line where they can be read, else stack and the few words that tell tiles apart."""
    whole = _rows(facts.stack, facts.line, box, STACK_FLOOR_PT, LINE_FLOOR_PT)
    if facts.line and can_fit(lambda scale: whole, height_mm):
        return whole
    return _rows(facts.stack, facts.conditions, box, FLOOR_PT, FLOOR_PT)


def _rows(stack: str, conditions: str, box: Box, stack_floor_pt: float, floor_pt: float) -> list[Row]:
    size_pt = max(5.5, min(18.0, 0.16 * box.height_mm * PT_PER_MM))
    above = Type(Typeface.NARROW_BOLD, size_pt, min(size_pt, stack_floor_pt), 1.15)
    below = Type(Typeface.NARROW, size_pt * 0.94, min(size_pt * 0.94, floor_pt), 1.15)
    words = [
        paragraph("stack", stack, above, box.width_mm),
        paragraph("conditions", conditions, below, box.width_mm, gap_mm=0.3, grey=GREY_INK),
    ]
    return [row for row in words if row.cells[0].text]
