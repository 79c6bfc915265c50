"""Which of our tile codes a photo has in view, and where.

A code of ours reads from about 5.5 px a module in a clean photo and 8 px in a noisy one (measured). Smaller
looks average noise and blur away, larger ones show small codes.
"""

import re
from collections.abc import Mapping
from dataclasses import astuple, dataclass
from typing import Any, BinaryIO, Self

import numpy as np
import zxingcpp

from tiles import numbers
from tiles.photos import accept, renditions
from tiles.vocabulary import FiledBy

# The address on our labels ends in /T/ and the tile number, in either case; a code may also hold the number alone.
ADDRESS = re.compile(r"(?:^|/t/)([0-9]{1,7}-[0-9])/?(?:[?#].*)?$", re.IGNORECASE)
# Larger pictures are not looked at whole: it would take longer than a person at the kiln waits.
LONGEST_SIDE_PX = 6000
# A photo with fewer pixels than this is looked at whole for the other codes too.
ENOUGH_PX = 2000
QR_CODES = zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode)
# What other labellers print a bare number as. Looking for them costs about five times a look for QR codes
# (measured), so it is done only where no QR code of ours is in view, at half the size.
OTHER_CODES = zxingcpp.BarcodeFormats(
    [
        zxingcpp.BarcodeFormat.DataMatrix,
        zxingcpp.BarcodeFormat.Aztec,
        zxingcpp.BarcodeFormat.Code128,
        zxingcpp.BarcodeFormat.Code39,
    ]
)


@dataclass(frozen=True, slots=True)
class Region:
    """A rectangle in the upright picture: left, top, width and height as shares of its sides, 0 to 1."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class TileCode:
    """One of our codes in view: the tile's number without its check digit, and where the code lies.

    `how` tells a code that holds our address from one that holds the bare number.
    """

    number: int
    region: Region
    how: FiledBy = FiledBy.CODE

    def as_json(self) -> dict[str, Any]:
        """As it is kept with what was found in view; shares to four places, a pixel in ten thousand."""
        region = [round(share, 4) for share in astuple(self.region)]
        return {"number": self.number, "region": region, "how": self.how.value}

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> Self:
        """What `as_json` kept, or another that names the four parts of the region."""
        region = kept["region"]
        place = Region(**region) if isinstance(region, Mapping) else Region(*region)
        return cls(kept["number"], place, FiledBy(kept.get("how", FiledBy.CODE.value)))


def tile_number_in(content: str) -> int | None:
    """The tile number a code's content leads to, if it is one of ours and its check digit holds.

    >>> tile_number_in("HTTP://192.168.1.20:8000/T/1042-9")
    1042
    >>> tile_number_in("1042-8") is None
    True
    """
    found = ADDRESS.search(content.strip())
    try:
        return numbers.read(found[1]) if found else None
    except ValueError:
        return None


def codes_in_view(file: BinaryIO) -> list[TileCode]:
    """All of our codes in an accepted photo, each tile once, left to right.

    Half and whole are both looked at, since a second, smaller code must not be missed; a quarter only in need, and
    codes of other kinds only after that.
    """
    side_px = _longest_side_looked_at(max(accept.open_photo(file).size))
    found = _read_at(file, side_px // 2) | _read_at(file, side_px) or _read_at(file, side_px // 4)
    found = found or _read_at(file, min(side_px, max(side_px // 2, ENOUGH_PX)), OTHER_CODES)
    return sorted(found.values(), key=lambda code: code.region.x)


def _longest_side_looked_at(longest_side_px: int) -> int:
    """The whole side, or the half, quarter or eighth of it that is within the limit: a decoder's own scales.

    >>> _longest_side_looked_at(4000), _longest_side_looked_at(10300)
    (4000, 5150)
    """
    return next(
        (longest_side_px // share for share in (1, 2, 4) if longest_side_px // share <= LONGEST_SIDE_PX),
        longest_side_px // 8,
    )


def _read_at(
    file: BinaryIO, longest_side_px: int, kinds: zxingcpp.BarcodeFormats = QR_CODES
) -> dict[int, TileCode]:
    """The codes read when the photo's longest side is so many pixels, by tile number."""
    grey = renditions.upright_grey(file, max(1, longest_side_px))
    read = zxingcpp.read_barcodes(np.asarray(grey), kinds, text_mode=zxingcpp.TextMode.Plain)
    codes = {tile_number_in(barcode.text): barcode for barcode in read}
    return {
        number: TileCode(number, _region(barcode.position, grey.width, grey.height), _how(barcode.text))
        for number, barcode in codes.items()
        if number is not None
    }


def _how(content: str) -> FiledBy:
    return FiledBy.CODE if "/" in content else FiledBy.NUMBER


def _region(position: zxingcpp.Position, width: int, height: int) -> Region:
    """The upright rectangle around a code's four corners."""
    corners = (position.top_left, position.top_right, position.bottom_right, position.bottom_left)
    left, right = min(corner.x for corner in corners), max(corner.x for corner in corners)
    top, bottom = min(corner.y for corner in corners), max(corner.y for corner in corners)
    return Region(left / width, top / height, (right - left) / width, (bottom - top) / height)
