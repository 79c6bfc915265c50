"""Pictures of prints for the screen: a sheet of labels to choose the first free one on, and a card or label."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from tiles.prints import codes
from tiles.prints.fit import PT_PER_MM
from tiles.prints.fonts import Typeface
from tiles.prints.marks import Code, Layout, Line, Mark, Plate, Rule, Words
from tiles.prints.stock import Box, Stock

# A label is to be touched with a finger: at least so many pixels high on the screen (WCAG 2.2, 2.5.8: 24).
LEAST_CELL_PX = 26
PREFERRED_WIDTH_PX = 330
LARGEST_DRAWING_PX = 460
PX_PER_MM = 5


class CellState(StrEnum):
    """What happens to a label of the first sheet."""

    USED = "used"
    PRINTED = "printed"
    FREE = "free"


@dataclass(frozen=True, slots=True)
class SheetCell:
    """One label of the sheet: its number from 1, its place, and what happens to it."""

    number: int
    box: Box
    state: CellState
    is_first: bool


@dataclass(frozen=True, slots=True)
class Sheet:
    """The first sheet as it will come out, drawn in mm; `width_px` is how wide to show it."""

    width_mm: float
    height_mm: float
    width_px: int
    cells: tuple[SheetCell, ...]


def sheet_picture(stock: Stock, start_cell: int, count: int, used: Collection[int] = ()) -> Sheet:
    """A part-used sheet: what is gone, what is printed now, what stays."""
    numbers = range(1, stock.labels_per_sheet + 1)
    free = [number for number in numbers if number >= start_cell and number not in used]
    states = dict.fromkeys(numbers, CellState.USED) | dict.fromkeys(free, CellState.FREE)
    states |= dict.fromkeys(free[:count], CellState.PRINTED)
    cells = tuple(
        SheetCell(number, stock.cell(number - 1), state, number == start_cell)
        for number, state in states.items()
    )
    return Sheet(stock.sheet_width_mm, stock.sheet_height_mm, _width_px(stock), cells)


def sheet_of_stock(stock: Stock) -> Sheet:
    """A whole sheet, for looking at."""
    return used_picture(stock, ())


def used_picture(stock: Stock, used: Collection[int]) -> Sheet:
    """A sheet with the labels that are gone; the first one that is free is marked."""
    numbers = range(1, stock.labels_per_sheet + 1)
    first = next((number for number in numbers if number not in used), 0)
    cells = tuple(
        SheetCell(
            number,
            stock.cell(number - 1),
            CellState.USED if number in used else CellState.FREE,
            number == first,
        )
        for number in numbers
    )
    return Sheet(stock.sheet_width_mm, stock.sheet_height_mm, _width_px(stock), cells)


def _width_px(stock: Stock) -> int:
    least_px = LEAST_CELL_PX / stock.label_height_mm * stock.sheet_width_mm
    return round(max(PREFERRED_WIDTH_PX, least_px))


@dataclass(frozen=True, slots=True)
class Shape:
    """One part of a drawing, with lengths as SVG wants them: one of words, code, plate, rule, photo."""

    kind: str
    x: str
    y: str
    width: str = ""
    height: str = ""
    text: str = ""
    size: str = ""
    face: str = ""
    grey: str = ""
    filled: bool = True


@dataclass(frozen=True, slots=True)
class Drawing:
    """A card or label for the screen, in mm."""

    width_mm: float
    height_mm: float
    shapes: tuple[Shape, ...]

    @property
    def width_px(self) -> int:
        """How wide to show it: larger than life where that helps, never wider than its column."""
        return round(min(LARGEST_DRAWING_PX, self.width_mm * PX_PER_MM))


def drawing_of(layout: Layout) -> Drawing:
    """A card or label as it will come out, from the same marks that the paper gets."""
    shapes = tuple(shape for mark in layout.marks for shape in _shapes(mark))
    return Drawing(layout.width_mm, layout.height_mm, shapes)


def _shapes(mark: Mark) -> Iterator[Shape]:
    if isinstance(mark, Words):
        size = _mm(mark.size_pt / PT_PER_MM)
        face = "narrow" if mark.typeface in (Typeface.NARROW, Typeface.NARROW_BOLD) else "text"
        face += "-bold" if mark.typeface in (Typeface.BOLD, Typeface.NARROW_BOLD) else ""
        yield Shape(
            "words",
            _mm(mark.x_mm),
            _mm(mark.baseline_mm),
            text=mark.text,
            size=size,
            face=face,
            grey=_hex(mark.grey),
        )
    elif isinstance(mark, Code):
        step = mark.box.width_mm / codes.symbol(mark.content).modules_with_quiet
        yield Shape(
            "code", _mm(mark.box.x_mm), _mm(mark.box.y_mm), size=f"{step:.5f}", text=_path(mark.content)
        )
    elif isinstance(mark, Rule):
        yield Shape(
            "rule", _mm(mark.x1_mm), _mm(mark.y1_mm), _mm(mark.x2_mm), _mm(mark.y2_mm), grey=_hex(mark.grey)
        )
    elif isinstance(mark, Line):
        for (x1_mm, y1_mm), (x2_mm, y2_mm) in pairwise(mark.points):
            yield Shape("rule", _mm(x1_mm), _mm(y1_mm), _mm(x2_mm), _mm(y2_mm), grey=_hex(mark.grey))
    elif isinstance(mark, Plate):
        yield _boxed("plate", mark.box, grey=_hex(mark.grey), filled=mark.filled)
    else:
        yield _boxed("photo", mark.box)


def _boxed(kind: str, box: Box, grey: str = "", filled: bool = True) -> Shape:
    return Shape(
        kind, _mm(box.x_mm), _mm(box.y_mm), _mm(box.width_mm), _mm(box.height_mm), grey=grey, filled=filled
    )


def _path(content: str) -> str:
    """The dark modules as one SVG path, in modules, the quiet zone included."""
    quiet = codes.QUIET_MODULES
    return "".join(
        f"M{x + quiet} {y + quiet}h{length}v1h-{length}z" for x, y, length in codes.symbol(content).runs
    )


def _mm(length: float) -> str:
    return f"{length:.3f}".rstrip("0").rstrip(".")


def _hex(grey: float) -> str:
    return f"#{round(grey * 255):02x}" + f"{round(grey * 255):02x}" * 2
