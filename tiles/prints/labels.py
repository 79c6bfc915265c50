"""Labels for tiles and boards: number, stack, body and cone, and a code, from 25 mm wide upwards."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import groupby

from tiles.prints import codes, fonts
from tiles.prints.fit import PT_PER_MM, Fitted, Type, fit
from tiles.prints.fonts import Typeface
from tiles.prints.marks import GREY_INK, Layout, Note
from tiles.prints.paper import Page, Paper, Printed, print_pages
from tiles.prints.rows import Row, RowsAt, can_fit, paragraph, scale_for, set_rows
from tiles.prints.stock import TRUE_PRINTER, Box, Calibration, Stock, free_places
from tiles.prints.summary import BETWEEN

# Five points is the least that is still read at arm's length on a small label (common practice, no source).
FLOOR_PT = 5.0
# The conditions line is a sentence to be read, not a mark to be known again (common practice, no source).
LINE_FLOOR_PT = 6.0
# Above a whole line the stack stays readable from a step away.
STACK_FLOOR_PT = 8.0
LARGEST_CODE_MM = 30.0
CODE_SHARE = 0.34
# So many of the labels printed together look alike; the few that say more do not make all the others small.
ALIKE = 0.9
# Of very many labels so many, spread evenly, tell how the others come out.
ENOUGH = 400
# Body and firing get a line each where that makes the words no smaller than this (judged by eye).
APART_FROM = 0.92
# Where more than this share of labels has room for the whole line, it stands on these; the others do not take it away.
MOST = 0.5
LAYER = re.compile(r"[^+;\s][^+;]*[^+;\s]")
# An atmosphere says little on a line of its own: the cone stays with it, else the word before it. Only where words end,
# as there it never takes one more line.
HEAT = (re.compile(r"\b(?:reached|cone) [^,·]+, (?!reached\b|then\b)[^,]+$"), re.compile(r"\S+, [^,]+$"))
THEN = ", then "
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


class Saying(Enum):
    """What stands below the stack: the whole conditions line, or few words, body and firing apart or in one."""

    WHOLE = "whole"
    APART = "apart"
    IN_ONE = "in one"


@dataclass(frozen=True, slots=True)
class Look:
    """What labels that are printed together have in common: what they say and how large, so that a sheet looks even."""

    saying: Saying
    scale: float


@dataclass(frozen=True, slots=True)
class _Placed:
    """A label with the box of its words, and what the number leaves of it."""

    label: LabelFacts
    words: Box
    below: Box


def print_labels(facts: Sequence[LabelFacts], job: LabelJob) -> Printed:
    """Labels on as many sheets as they take. Raises IndexError when a cell is not on the sheet."""
    return print_pages(pages_of(facts, job), title=job.title, author=job.studio, calibration=job.calibration)


def pages_of(facts: Sequence[LabelFacts], job: LabelJob) -> list[Page]:
    """The sheets the labels take; each label is laid out when its sheet is drawn."""
    look = look_of(facts, job.stock, with_code=job.codes)
    places = free_places(job.stock, len(facts), job.start_cell, job.used)
    sheets = [
        list(on_sheet) for _, on_sheet in groupby(zip(facts, places, strict=True), lambda pair: pair[1][0])
    ]
    return [_page([(label, place) for label, (_, place) in pairs], job, look) for pairs in sheets]


def _page(placed: Sequence[tuple[LabelFacts, Box]], job: LabelJob, look: Look) -> Page:
    def draw(paper: Paper) -> None:
        for label, place in placed:
            paper.draw(lay_out(label, job.stock, with_code=job.codes, look=look), place)

    return Page(job.stock.sheet_width_mm, job.stock.sheet_height_mm, draw, job.stock.name)


def notes_on(facts: Sequence[LabelFacts], job: LabelJob, look: Look | None = None) -> list[Note]:
    """What is to be said before printing: words without room, letters without glyph, codes too fine."""
    look = look or look_of(facts, job.stock, with_code=job.codes)
    layouts = (lay_out(label, job.stock, with_code=job.codes, look=look) for label in facts)
    return [note for layout in layouts for note in layout.notes]


def lay_out(facts: LabelFacts, stock: Stock, *, with_code: bool = True, look: Look | None = None) -> Layout:
    """One label: the code at the right of the words on wide labels, below them on square and tall ones.

    Without a look it is set by itself, as large as it fits.
    """
    layout = Layout(facts.number, stock.label_width_mm, stock.label_height_mm)
    code, words = _boxes(facts, stock, with_code=with_code)
    if code is not None:
        layout.code(codes.tile_address(facts.address, facts.number), code)
    _set_words(layout, facts, words, look or look_of([facts], stock, with_code=with_code))
    return layout


def look_of(facts: Sequence[LabelFacts], stock: Stock, *, with_code: bool = True) -> Look:
    """What more than half of the labels can say, and how large nine in ten of those can say it."""
    some = facts[:: -(-len(facts) // ENOUGH) or 1]
    boxes = [_boxes(label, stock, with_code=with_code)[1] for label in some]
    placed = [
        _Placed(label, words, _below(_number(label, words), words))
        for label, words in zip(some, boxes, strict=True)
    ]
    lined = [one for one in placed if one.label.line]
    whole = [one for one in lined if _can_say(one, Saying.WHOLE)]
    if len(whole) > MOST * len(lined):
        return Look(Saying.WHOLE, _common_scale(whole, Saying.WHOLE))
    apart, in_one = (_common_scale(placed, saying) for saying in (Saying.APART, Saying.IN_ONE))
    return Look(Saying.APART, apart) if apart >= APART_FROM * in_one else Look(Saying.IN_ONE, in_one)


def _common_scale(placed: Sequence[_Placed], saying: Saying) -> float:
    """The scale at which all but a tenth of the labels can be set; of two labels, both."""
    scales = sorted(scale_for(_rows_at(one, saying), one.below.height_mm) for one in placed)
    return scales[int((1 - ALIKE) * len(scales))] if scales else 1.0


def _boxes(facts: LabelFacts, stock: Stock, *, with_code: bool) -> tuple[Box | None, Box]:
    """Where the code stands, where there is one, and where the words do."""
    if not with_code:
        return None, _inner(stock)
    return _divided(stock, codes.tile_address(facts.address, facts.number))


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


def _set_words(layout: Layout, facts: LabelFacts, box: Box, look: Look) -> None:
    """Number, stack, conditions from the top down."""
    number = _number(facts, box)
    layout.set("number", number, Box(box.x_mm, _number_top_mm(number, box), box.width_mm, box.height_mm))
    placed = _Placed(facts, box, _below(number, box))
    saying = look.saying if _can_say(placed, look.saying) else Saying.IN_ONE
    set_rows(layout, _rows_at(placed, saying), placed.below, at_most=look.scale)


def _can_say(placed: _Placed, saying: Saying) -> bool:
    """Whether there is room for it where it can be read."""
    return can_fit(_rows_at(placed, saying), placed.below.height_mm)


def _number(facts: LabelFacts, box: Box) -> Fitted:
    return fit(facts.number, _number_type(box), box.width_mm, box.height_mm)


def _number_top_mm(number: Fitted, box: Box) -> float:
    """Where the number's line begins, so that its figures stand at the top of the box."""
    return box.y_mm - (fonts.ASCENT - fonts.CAP_HEIGHT) * number.size_pt / PT_PER_MM


def _below(number: Fitted, box: Box) -> Box:
    """What the number leaves of the words' box."""
    y_mm = _number_top_mm(number, box) + number.height_mm + 0.1 * number.size_pt / PT_PER_MM
    return Box(box.x_mm, y_mm, box.width_mm, max(0.0, box.bottom_mm - y_mm))


def _number_type(box: Box) -> Type:
    """The number takes about a third of the height."""
    size_pt = max(7.0, min(40.0, 0.34 * box.height_mm * PT_PER_MM))
    return Type(Typeface.BOLD, size_pt, min(size_pt, 6.0), 1.0)


def _rows_at(placed: _Placed, saying: Saying) -> RowsAt:
    return lambda scale: _rows(placed.label, placed.words, saying, scale)


def _rows(facts: LabelFacts, box: Box, saying: Saying, scale: float) -> list[Row]:
    """Stack and conditions line where they can be read, else stack and the few words that tell tiles apart."""
    whole = saying is Saying.WHOLE and bool(facts.line)
    size_pt = max(5.5, min(18.0, 0.16 * box.height_mm * PT_PER_MM))
    above = Type(Typeface.NARROW_BOLD, size_pt, min(size_pt, STACK_FLOOR_PT if whole else FLOOR_PT), 1.15)
    floor_pt = LINE_FLOOR_PT if whole else FLOOR_PT
    below = Type(Typeface.NARROW, size_pt * 0.94, min(size_pt * 0.94, floor_pt), 1.15)
    conditions = [facts.line] if whole else _few_words(facts, saying)
    if not whole:
        conditions = [_heat_whole(part, below.at(scale), box.width_mm) for part in conditions]
    words = [
        paragraph("stack", _names_whole(facts.stack, above, box.width_mm), above, box.width_mm),
        *(
            paragraph("conditions", part, below, box.width_mm, gap_mm=0 if index else 0.3, grey=GREY_INK)
            for index, part in enumerate(conditions)
        ),
    ]
    return [row for row in words if row.cells[0].text]


def _few_words(facts: LabelFacts, saying: Saying) -> list[str]:
    """The conditions in one, or the body above its firings, one a line."""
    body, dot, heat = facts.conditions.rpartition(BETWEEN)
    if saying is Saying.IN_ONE or not dot:
        return [facts.conditions]
    first, *later = heat.split(THEN)
    return [body, first, *(f"{THEN.removeprefix(', ')}{firing}" for firing in later)]


def _heat_whole(words: str, kind: Type, width_mm: float) -> str:
    """The words with the atmosphere that ends them kept on one line with as much of its cone as has room there."""
    for ending in HEAT:
        found = ending.search(words)
        if found and fonts.width_pt(found[0], kind.typeface, kind.size_pt) <= width_mm * PT_PER_MM:
            return words[: found.start()] + found[0].replace(" ", "\xa0")
    return words


def _names_whole(stack: str, kind: Type, width_mm: float) -> str:
    """The stack with each glaze and its coats kept on one line, where a line is long enough for them."""

    def kept(layer: str) -> str:
        has_room = fonts.width_pt(f"+ {layer};", kind.typeface, kind.size_pt) <= width_mm * PT_PER_MM
        return layer.replace(" ", "\xa0") if has_room else layer

    return LAYER.sub(lambda found: kept(found[0]), stack)
