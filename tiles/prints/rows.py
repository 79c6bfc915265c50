"""Rows of words, one under the other, that shrink together until all of them fit their box."""

from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tiles.prints.fit import PT_PER_MM, Fitted, Type, flow
from tiles.prints.marks import BLACK, Layout, Patch
from tiles.prints.stock import Box

ENDLESS_MM = 10_000.0
SCALE_STEP = 0.04
# A patch of colour is so high beside its words.
PATCH_EMS = 0.85


@dataclass(frozen=True, slots=True)
class Cell:
    """Words in a row: what they are (for a note), how they are set, and where across the box.

    `patch` is a colour such as #8a4b2f; a square of it stands before the words.
    """

    what: str
    text: str
    kind: Type
    x_mm: float
    width_mm: float
    grey: float = BLACK
    patch: str = ""

    def indent_mm(self, scale: float) -> float:
        """What a patch before the words takes, white at its right included."""
        return PATCH_EMS * 1.5 * self.kind.at(scale).size_pt / PT_PER_MM if self.patch else 0.0

    def at(self, scale: float, height_mm: float = ENDLESS_MM) -> Fitted:
        """The words set at a scale."""
        return flow(self.text, self.kind.at(scale), self.width_mm - self.indent_mm(scale), height_mm)


@dataclass(frozen=True, slots=True)
class Row:
    """Cells side by side; `gap_mm` is the white above, which shrinks with the words. A rule may stand in the gap."""

    cells: tuple[Cell, ...]
    gap_mm: float = 0.0

    def height_mm(self, scale: float) -> float:
        """What the row takes without its gap."""
        return max((cell.at(scale).height_mm for cell in self.cells), default=0.0)


# The rows at a scale: columns may be divided differently for smaller words.
RowsAt = Callable[[float], Sequence[Row]]


def paragraph(
    what: str, text: str, kind: Type, width_mm: float, *, gap_mm: float = 0.0, grey: float = BLACK
) -> Row:
    """A row of one cell as wide as the box."""
    return Row((Cell(what, text, kind, 0.0, width_mm, grey),), gap_mm)


def set_rows(layout: Layout, rows_at: RowsAt, box: Box, *, at_most: float = 1.0) -> float:
    """Put the rows at the top of the box, as large as they fit; what does not fit at the floor is noted.

    `at_most` is a scale they are not to go above, as others beside them cannot.

    Returns where the last row ends [mm].
    """
    scale, y_mm = min(at_most, scale_for(rows_at, box.height_mm)), box.y_mm
    for index, row in enumerate(rows_at(scale)):
        y_mm += row.gap_mm * scale if index else 0.0
        y_mm = _put(layout, row, scale, Box(box.x_mm, y_mm, box.width_mm, max(0.0, box.bottom_mm - y_mm)))
    return y_mm


def scale_for(rows_at: RowsAt, height_mm: float) -> float:
    """The largest scale at which the rows fit the height, or the least at which every word is at its floor.

    Smaller words never take more room, so the scales are searched by halves.
    """
    scales = _scales(rows_at(1.0))
    first = bisect_left(scales, True, key=lambda scale: _total_mm(rows_at(scale), scale) <= height_mm)
    return scales[min(first, len(scales) - 1)]


def can_fit(rows_at: RowsAt, height_mm: float) -> bool:
    """Whether all the words fit the height with every one at its floor or above."""
    least = _scales(rows_at(1.0))[-1]
    return _total_mm(rows_at(least), least) <= height_mm


def _total_mm(rows: Sequence[Row], scale: float) -> float:
    """What the rows take together, gaps between them included."""
    gaps = sum(row.gap_mm for row in rows[1:]) * scale
    return gaps + sum(row.height_mm(scale) for row in rows)


def _put(layout: Layout, row: Row, scale: float, room: Box) -> float:
    ends = [room.y_mm]
    for cell in row.cells:
        indent_mm, words = cell.indent_mm(scale), cell.at(scale, room.height_mm)
        if cell.patch and words.lines:
            side_mm = indent_mm / 1.5
            spare_mm = max(0.0, words.height_mm / len(words.lines) - side_mm) / 2
            square = Box(room.x_mm + cell.x_mm, room.y_mm + spare_mm, side_mm, side_mm)
            layout.marks.append(Patch(square, cell.patch))
        place = Box(room.x_mm + cell.x_mm + indent_mm, room.y_mm, cell.width_mm - indent_mm, room.height_mm)
        ends.append(layout.set(cell.what, words, place, grey=cell.grey))
    return max(ends)


def _least(rows: Sequence[Row]) -> float:
    return min((cell.kind.floor_pt / cell.kind.size_pt for row in rows for cell in row.cells), default=1.0)


def _scales(rows: Sequence[Row]) -> list[float]:
    """From full size down to where all words are at their floor."""
    least = _least(rows)
    steps = int((1 - least) / SCALE_STEP)
    return [*(1 - step * SCALE_STEP for step in range(steps + 1)), least]
