"""A tile's share of a photo in whole pixels: its name in an address, its size, the cut itself.

The share is written in ten-thousandths of the upright photo's sides, ``1200-0-3300-10000``: left, top, width, height.
"""

import io
from dataclasses import dataclass
from pathlib import Path
from typing import Self

from PIL import Image

from tiles.photos.codes import Region
from tiles.photos.renditions import QUALITY, size_within

WHOLE = 10_000


@dataclass(frozen=True, slots=True)
class Share:
    """A rectangle of a photo in ten-thousandths of its sides."""

    left: int
    top: int
    width: int
    height: int

    @classmethod
    def of_region(cls, region: Region) -> Self:
        """
        >>> Share.of_region(Region(0.12, 0, 0.33, 1))
        Share(left=1200, top=0, width=3300, height=10000)
        """
        sides = (region.x, region.y, region.width, region.height)
        return cls(*(round(side * WHOLE) for side in sides))

    @classmethod
    def read(cls, written: str) -> Self:
        """The share an address names. Raises ValueError where it does not lie within a photo.

        >>> Share.read("1200-0-3300-10000").written
        '1200-0-3300-10000'
        """
        share = cls(*(int(side) for side in written.split("-")))
        if not share.is_within:
            raise ValueError("This part does not lie within a photo.")
        return share

    @property
    def written(self) -> str:
        """As it stands in an address."""
        return f"{self.left}-{self.top}-{self.width}-{self.height}"

    @property
    def is_within(self) -> bool:
        """Whether it is a part of a photo at all; a ten-thousandth over the edge comes from rounding."""
        inside = self.left + self.width <= WHOLE + 1 and self.top + self.height <= WHOLE + 1
        return min(self.left, self.top) >= 0 and min(self.width, self.height) >= 1 and inside

    def size_px(self, width_px: int, height_px: int) -> tuple[int, int]:
        """Width and height of this part of a photo of so many pixels, at least one each.

        >>> Share(1200, 0, 3300, 10000).size_px(4000, 3000)
        (1320, 3000)
        """
        return max(1, round(width_px * self.width / WHOLE)), max(1, round(height_px * self.height / WHOLE))


def cut(picture: Path, share: Share, longest_side_px: int) -> bytes:
    """The part of a rendition as a JPEG, its longest side at most so many pixels and never enlarged."""
    with Image.open(picture) as whole:
        width, height = share.size_px(*whole.size)
        left = min(whole.width - 1, round(whole.width * share.left / WHOLE))
        top = min(whole.height - 1, round(whole.height * share.top / WHOLE))
        part = whole.crop((left, top, min(whole.width, left + width), min(whole.height, top + height)))
    fitted = part.resize(size_within(*part.size, longest_side_px), Image.Resampling.LANCZOS)
    kept = io.BytesIO()
    fitted.save(kept, "JPEG", quality=QUALITY)
    return kept.getvalue()
