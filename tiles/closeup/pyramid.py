"""A photo halved again and again, each level cut into square pieces, so that only what is in view is sent.

Level 0 is the upright photo as the camera took it, level 1 half as wide and high, and so on. The coarsest level is the
last one that is larger than the large rendition: what is no larger than that is shown by the rendition itself.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from tiles.photos.renditions import Size

# Side of a piece [px]. A window of 1,600 px shows six to nine of them; a phone's photo of 12 megapixels has 24.
SIDE_PX = 768

# What a picture may take in memory while it is decoded [bytes]: a process that serves pages holds some 115 MB and may
# have 300. A JPEG of 45 megapixels just does.
MOST_BYTES = 180 * 1000 * 1000
# A pixel of a decoded colour picture, as Pillow stores it.
BYTES_A_PIXEL = 4
# A progressive JPEG keeps all its coefficients as well: two bytes for each channel of each pixel.
COEFFICIENT_BYTES_A_PIXEL = 6

Box = tuple[int, int, int, int]


@dataclass(frozen=True, slots=True)
class Pyramid:
    """The levels of a photo so large [px, upright]; `finest` is the finest that can be decoded."""

    width: int
    height: int
    finest: int = 0

    @property
    def levels(self) -> range:
        """The levels that have pieces, finest first; none where the large rendition shows every pixel."""
        count = 0
        while max(self.size(count)) > Size.LARGE.longest_side_px:
            count += 1
        return range(self.finest, count)

    def size(self, level: int) -> tuple[int, int]:
        """Width and height of a level [px], halves rounded up.

        >>> Pyramid(4001, 3000).size(1)
        (2001, 1500)
        """
        return -(-self.width >> level) or 1, -(-self.height >> level) or 1

    def shape(self, level: int) -> tuple[int, int]:
        """How many columns and rows of pieces a level has.

        >>> Pyramid(4000, 3000).shape(0)
        (6, 4)
        """
        width, height = self.size(level)
        return -(-width // SIDE_PX), -(-height // SIDE_PX)

    def box(self, level: int, column: int, row: int) -> Box:
        """Left, top, right and lower edge of a piece in its level [px].

        Raises
        ------
        LookupError : there is no such piece
        """
        columns, rows = self.shape(level)
        if level not in self.levels or not 0 <= column < columns or not 0 <= row < rows:
            raise LookupError(f"no piece {column}, {row} on level {level} of {self.width} × {self.height} px")
        width, height = self.size(level)
        left, top = column * SIDE_PX, row * SIDE_PX
        return left, top, min(left + SIDE_PX, width), min(top + SIDE_PX, height)

    def pieces(self, level: int) -> Iterator[tuple[int, int]]:
        """Column and row of every piece of a level."""
        columns, rows = self.shape(level)
        yield from ((column, row) for row in range(rows) for column in range(columns))


def finest_level(width: int, height: int, *, is_progressive: bool) -> int:
    """The finest level of a JPEG that is decoded within `MOST_BYTES`, by the decoder's own halving.

    A progressive one's coefficients are only reckoned at full resolution: below it they cost what making the photo's
    renditions costs, which every photo that is kept has been through.

    >>> finest_level(4000, 3000, is_progressive=False), finest_level(10_000, 8_000, is_progressive=False)
    (0, 1)
    """
    pixels = width * height
    kept = COEFFICIENT_BYTES_A_PIXEL * pixels if is_progressive else 0
    if kept + BYTES_A_PIXEL * pixels <= MOST_BYTES:
        return 0
    # Three halvings is all the decoder has (ISO/IEC 10918-1: blocks are 8 × 8).
    return next((level for level in (1, 2) if BYTES_A_PIXEL * (pixels >> 2 * level) <= MOST_BYTES), 3)
