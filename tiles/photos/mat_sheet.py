"""The photo mat as it is laid out: what its corner codes say and where everything lies on the sheet, in millimetres.

Places are counted from the sheet's upper left corner, x to the right and y down. What is written here must never change
for a version that has been printed: a photo's geometry is known from the code alone.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from tiles.prints.stock import Box

VERSION = 1
# Corners of the sheet in the order codes are read and drawn: upper left, upper right, lower right, lower left.
CORNERS = ("UL", "UR", "LR", "LL")
CODE_MODULES = 21
QUIET_MODULES = 4
MARGIN_MM = 10.0
# White that stays free around everything that is printed or laid down, for reading the light.
CLEAR_MM = 2.5
CONTENT = re.compile(r"MAT1-(A4|LT|A3)-(UL|UR|LR|LL)")


@dataclass(frozen=True, slots=True)
class MatSheet:
    """One size of the mat. `module_mm` is the side of a module of the corner codes."""

    key: str
    name: str
    width_mm: float
    height_mm: float
    module_mm: float
    tile_field: Box
    square: Box
    grey_card: Box
    chart: Box
    ruler_down: Box
    ruler_across: Box
    words: Box

    @property
    def code_mm(self) -> float:
        """Side of a code's dark square, without the white around it."""
        return CODE_MODULES * self.module_mm

    def code(self, corner: str) -> Box:
        """Where the dark square of a corner's code lies."""
        x_mm = MARGIN_MM if corner[1] == "L" else self.width_mm - MARGIN_MM - self.code_mm
        y_mm = MARGIN_MM if corner[0] == "U" else self.height_mm - MARGIN_MM - self.code_mm
        return Box(x_mm, y_mm, self.code_mm, self.code_mm)

    def content(self, corner: str) -> str:
        """What the code in a corner says: version of the mat, sheet, corner; short enough for the smallest QR code."""
        return f"MAT{VERSION}-{self.key}-{corner}"

    @property
    def tile_mark(self) -> tuple[float, float]:
        """Where every tile's upper left corner goes, whatever its size."""
        return self.tile_field.x_mm, self.tile_field.y_mm

    @property
    def tile_middle(self) -> tuple[float, float]:
        """The middle of the field for tiles."""
        field = self.tile_field
        return field.x_mm + field.width_mm / 2, field.y_mm + field.height_mm / 2

    def holds(self, width_mm: float, height_mm: float) -> bool:
        """Whether a tile of this size has room."""
        return width_mm <= self.tile_field.width_mm and height_mm <= self.tile_field.height_mm

    def blank_spots(self, pitch_mm: float = 5.0) -> Iterator[tuple[float, float]]:
        """Places where nothing but white paper is to be seen, on a grid over the sheet."""
        taken = [self.tile_field, self.square, self.grey_card, self.chart, self.ruler_down, self.ruler_across]
        taken += [self.words, *(self.code(corner) for corner in CORNERS)]
        kept_free = [box.inset(-CLEAR_MM) for box in taken]
        across, down = int(self.width_mm // pitch_mm), int(self.height_mm // pitch_mm)
        for column in range(1, across):
            for row in range(1, down):
                x_mm, y_mm = column * self.width_mm / across, row * self.height_mm / down
                if not any(_within(box, x_mm, y_mm) for box in kept_free):
                    yield x_mm, y_mm


def corners_of(box: Box) -> list[tuple[float, float]]:
    """Upper left, upper right, lower right, lower left."""
    return [
        (box.x_mm, box.y_mm),
        (box.right_mm, box.y_mm),
        (box.right_mm, box.bottom_mm),
        (box.x_mm, box.bottom_mm),
    ]


def read(content: str) -> tuple[MatSheet, str] | None:
    """The sheet and the corner a code names, if it is one of the mat's.

    >>> read("MAT1-LT-UR")[0].name, read("1042-9")
    ('Letter', None)
    """
    found = CONTENT.fullmatch(content.strip())
    return (SHEETS[found[1]], found[2]) if found else None


def _within(box: Box, x_mm: float, y_mm: float) -> bool:
    return box.x_mm <= x_mm <= box.right_mm and box.y_mm <= y_mm <= box.bottom_mm


# The bank-card format ID-1 of ISO/IEC 7810, in which small grey cards are sold; larger ones cover the place.
GREY_CARD_MM = (54.0, 86.0)
SQUARE_MM = 50.0
RULER_MM = 7.0


def _laid_out(
    key: str, name: str, size_mm: tuple[float, float], module_mm: float, tile_height_mm: float
) -> MatSheet:
    """Tile at the upper left, beside it the square for the label and the grey card, below them the chart."""
    width, height = size_mm
    code = CODE_MODULES * module_mm
    top = MARGIN_MM + code + 9
    inner = MARGIN_MM + code + QUIET_MODULES * module_mm + 3
    column = width - 24 - GREY_CARD_MM[0]
    chart_top, across = top + tile_height_mm + 5, (width - 2 * inner) // 10 * 10
    bottom = height - MARGIN_MM
    return MatSheet(
        key=key,
        name=name,
        width_mm=width,
        height_mm=height,
        module_mm=module_mm,
        tile_field=Box(30, top, column - 38, tile_height_mm),
        square=Box(column + 2, top, SQUARE_MM, SQUARE_MM),
        grey_card=Box(column, top + SQUARE_MM + 6, *GREY_CARD_MM),
        chart=Box(inner, chart_top, width - 2 * inner, bottom - RULER_MM - 4 - chart_top),
        ruler_down=Box(MARGIN_MM, top, RULER_MM, (height - inner - top) // 10 * 10),
        ruler_across=Box((width - across) / 2, bottom - RULER_MM, across, RULER_MM),
        words=Box(inner, MARGIN_MM, width - 2 * inner, code),
    )


# Modules of a size that still reads where the whole sheet fills a photo reduced to 2000 px: 8 px (A4), 7 px (A3).
SHEETS = {
    "A4": _laid_out("A4", "A4", (210.0, 297.0), 1.25, 142.0),
    "LT": _laid_out("LT", "Letter", (215.9, 279.4), 1.25, 141.0),
    "A3": _laid_out("A3", "A3", (297.0, 420.0), 1.7, 230.0),
}
