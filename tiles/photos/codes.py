"""What a code of ours is: what it says, where it lies. `look.py` reads them.

A code of ours reads from about 5.5 px a module in a clean photo and 8 px in a noisy one (measured). Smaller
looks average noise and blur away, larger ones show small codes.
"""

import re
from collections.abc import Mapping
from dataclasses import astuple, dataclass
from typing import Any, Self

import zxingcpp

from tiles import numbers
from tiles.vocabulary import FiledBy

# The address on our labels ends in /T/ and the tile number, in either case; a code may also hold the number alone.
ADDRESS = re.compile(r"(?:^|/t/)([0-9]{1,7}-[0-9])/?(?:[?#].*)?$", re.IGNORECASE)
# Larger pictures are not looked at whole: it would take longer than a person at the kiln waits.
LONGEST_SIDE_PX = 6000
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
