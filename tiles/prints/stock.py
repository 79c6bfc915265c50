"""Label stock described by numbers: where each label lies on its sheet, in millimetres from the top left corner."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass

MM_PER_INCH = 25.4
# Labels closer than this to the edge or to each other are taken to touch it: dimensions come rounded.
TOLERANCE_MM = 0.05


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle, x to the right and y down from the sheet's top left corner [mm]."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float

    @property
    def right_mm(self) -> float:
        """Of the right edge."""
        return self.x_mm + self.width_mm

    @property
    def bottom_mm(self) -> float:
        """Of the lower edge."""
        return self.y_mm + self.height_mm

    def inset(self, margin_mm: float) -> "Box":
        """The box within, a margin smaller on every side."""
        return Box(
            self.x_mm + margin_mm,
            self.y_mm + margin_mm,
            self.width_mm - 2 * margin_mm,
            self.height_mm - 2 * margin_mm,
        )


@dataclass(frozen=True, slots=True)
class Calibration:
    """How one printer misses: what to add to every position, and by what to stretch distances from the corner."""

    offset_x_mm: float = 0.0
    offset_y_mm: float = 0.0
    scale_x: float = 1.0
    scale_y: float = 1.0

    def place(self, box: Box) -> Box:
        """Where to draw so that the printer puts it at `box`."""
        return Box(
            box.x_mm * self.scale_x + self.offset_x_mm,
            box.y_mm * self.scale_y + self.offset_y_mm,
            box.width_mm * self.scale_x,
            box.height_mm * self.scale_y,
        )


TRUE_PRINTER = Calibration()


@dataclass(frozen=True, slots=True)
class Stock:
    """A sheet of equal labels, or one label of a roll (a sheet as large as the label).

    Lengths in mm. The margins are the first label's distance from the sheet's edges; the pitch is the distance
    from one label's edge to the same edge of the next.
    """

    name: str
    sheet_width_mm: float
    sheet_height_mm: float
    columns: int
    rows: int
    label_width_mm: float
    label_height_mm: float
    margin_left_mm: float
    margin_top_mm: float
    pitch_x_mm: float
    pitch_y_mm: float
    corner_radius_mm: float = 0.0

    @property
    def labels_per_sheet(self) -> int:
        """Columns times rows."""
        return self.columns * self.rows

    @property
    def is_roll(self) -> bool:
        """Whether each label is a sheet of its own."""
        return self.labels_per_sheet == 1

    def cell(self, index: int) -> Box:
        """The label at `index`, counted from 0 along the rows.

        Raises IndexError beyond the sheet's last label.
        """
        if not 0 <= index < self.labels_per_sheet:
            raise IndexError(f"{self.name} has labels 1 to {self.labels_per_sheet}, not {index + 1}")
        row, column = divmod(index, self.columns)
        return Box(
            self.margin_left_mm + column * self.pitch_x_mm,
            self.margin_top_mm + row * self.pitch_y_mm,
            self.label_width_mm,
            self.label_height_mm,
        )

    def cells(self, count: int, start_cell: int = 1) -> Iterator[tuple[int, Box]]:
        """Sheet number (from 0) and place of `count` labels, the first one at `start_cell` (from 1) of a used sheet."""
        for position in range(start_cell - 1, start_cell - 1 + count):
            yield position // self.labels_per_sheet, self.cell(position % self.labels_per_sheet)

    def sheets(self, count: int, start_cell: int = 1) -> int:
        """How many sheets `count` labels take."""
        return -(-(count + start_cell - 1) // self.labels_per_sheet) if count else 0

    def problems(self) -> list[tuple[str, str]]:
        """What is wrong with the numbers, as pairs of field and sentence; empty when labels lie apart on the sheet."""
        amiss = [(field, message) for field, message in self._sizes_amiss() if message]
        return amiss or [(field, message) for field, message in self._places_amiss() if message]

    def _sizes_amiss(self) -> Iterator[tuple[str, str]]:
        lengths = ("sheet_width_mm", "sheet_height_mm", "label_width_mm", "label_height_mm")
        for field in lengths:
            yield field, "" if getattr(self, field) > 0 else "This must be more than 0 mm."
        for field in ("margin_left_mm", "margin_top_mm", "corner_radius_mm"):
            yield field, "" if getattr(self, field) >= 0 else "This must not be less than 0 mm."
        for field in ("columns", "rows"):
            yield field, "" if getattr(self, field) >= 1 else "There must be at least one."

    def _places_amiss(self) -> Iterator[tuple[str, str]]:
        yield "pitch_x_mm", self._overlap(self.columns, self.pitch_x_mm, self.label_width_mm, "side by side")
        yield (
            "pitch_y_mm",
            self._overlap(self.rows, self.pitch_y_mm, self.label_height_mm, "one above the other"),
        )
        last = self.cell(self.labels_per_sheet - 1)
        yield "columns", _beyond(last.right_mm, self.sheet_width_mm, "last column", "wide", "margin or step")
        yield "rows", _beyond(last.bottom_mm, self.sheet_height_mm, "last row", "high", "margin or step")
        half = min(self.label_width_mm, self.label_height_mm) / 2
        too_round = self.corner_radius_mm > half + TOLERANCE_MM
        yield (
            "corner_radius_mm",
            f"The corner can be {half:g} mm at most, half the label." if too_round else "",
        )

    @staticmethod
    def _overlap(count: int, pitch_mm: float, size_mm: float, how: str) -> str:
        if count == 1 or pitch_mm + TOLERANCE_MM >= size_mm:
            return ""
        return (
            f"Labels {how} overlap: they are {size_mm:g} mm but only {pitch_mm:g} mm apart. "
            "Measure from one label’s edge to the same edge of the next."
        )


def free_places(
    stock: Stock, count: int, start_cell: int = 1, used: Collection[int] = ()
) -> Iterator[tuple[int, Box]]:
    """Sheet number (from 0) and place of `count` labels on a part-used first sheet and whole ones after it.

    start_cell : the first label that is free on the first sheet, from 1
    used : more labels of the first sheet that are gone

    Raises IndexError when the first cell is not on the sheet.
    """
    stock.cell(start_cell - 1)
    free = [cell for cell in range(start_cell, stock.labels_per_sheet + 1) if cell not in used]
    for position in range(count):
        if position < len(free):
            yield 0, stock.cell(free[position] - 1)
        else:
            beyond = position - len(free)
            yield 1 + beyond // stock.labels_per_sheet, stock.cell(beyond % stock.labels_per_sheet)


def sheets_for(stock: Stock, count: int, start_cell: int = 1, used: Collection[int] = ()) -> int:
    """How many sheets `count` labels take, the part-used one included where anything is printed on it.

    >>> three = roll(40, 30)
    >>> sheets_for(three, 5)
    5
    """
    return len({sheet for sheet, _ in free_places(stock, count, start_cell, used)})


def _beyond(end_mm: float, sheet_mm: float, what: str, how: str, remedy: str) -> str:
    if end_mm <= sheet_mm + TOLERANCE_MM:
        return ""
    return f"The {what} ends at {end_mm:.1f} mm, but the sheet is {sheet_mm:g} mm {how}. Check its number, {remedy}."


def centred(
    name: str,
    sheet: tuple[float, float],
    grid: tuple[int, int],
    label: tuple[float, float],
    pitch: tuple[float, float],
    corner_radius_mm: float = 0.0,
) -> Stock:
    """Stock whose labels lie in the middle of the sheet: pairs of width and height [mm], columns and rows."""
    span_x, span_y = ((n - 1) * p + size for n, p, size in zip(grid, pitch, label, strict=True))
    left, top = round((sheet[0] - span_x) / 2, 3), round((sheet[1] - span_y) / 2, 3)
    return Stock(name, *sheet, *grid, *label, left, top, *pitch, corner_radius_mm)


def roll(width_mm: float, height_mm: float) -> Stock:
    """A label printer's roll: one label a page."""
    name = f"Roll, {width_mm:g} × {height_mm:g} mm"
    return centred(name, (width_mm, height_mm), (1, 1), (width_mm, height_mm), (width_mm, height_mm))


A4 = (210.0, 297.0)
LETTER = (215.9, 279.4)


def _inches(*lengths: float) -> tuple[float, ...]:
    return tuple(round(length * MM_PER_INCH, 4) for length in lengths)


# Sizes sold everywhere under many names. Common practice, no source: dimensions and pitch from memory, unverified, the
# block of labels centred on the sheet. Measure a sheet before printing many.
KNOWN = (
    centred("A4, 3 × 8, 63.5 × 33.9 mm", A4, (3, 8), (63.5, 33.9), (66.0, 33.9), 2),
    centred("A4, 3 × 7, 63.5 × 38.1 mm", A4, (3, 7), (63.5, 38.1), (66.0, 38.1), 2),
    centred("A4, 2 × 7, 99.1 × 38.1 mm", A4, (2, 7), (99.1, 38.1), (101.6, 38.1), 2),
    centred("A4, 2 × 4, 99.1 × 67.7 mm", A4, (2, 4), (99.1, 67.7), (101.6, 67.7), 2),
    centred("A4, 4 × 10, 48.5 × 25.4 mm", A4, (4, 10), (48.5, 25.4), (48.5, 25.4)),
    centred("A4, 5 × 13, 38.1 × 21.2 mm", A4, (5, 13), (38.1, 21.2), (40.6, 21.2), 2),
    centred("Letter, 3 × 10, 2⅝ × 1 in", LETTER, (3, 10), (66.675, 25.4), (69.85, 25.4), 2),
    centred("Letter, 2 × 5, 4 × 2 in", LETTER, (2, 5), (101.6, 50.8), (106.3625, 50.8), 2),
    centred("Letter, 4 × 20, 1¾ × ½ in", LETTER, (4, 20), (44.45, 12.7), (52.07, 12.7), 2),
    roll(25, 25),
    roll(40, 30),
    roll(57, 32),
    roll(62, 29),
    roll(62, 100),
    roll(102, 51),
)
