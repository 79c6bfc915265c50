"""QR codes that open a tile's page: what they say, their modules, and whether they print large enough to be read.

The symbols follow ISO/IEC 18004 (model 2).
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from urllib.parse import urlsplit

import numpy as np
import zxingcpp

# ISO/IEC 18004 asks for a quiet zone of four modules on every side.
QUIET_MODULES = 4
MM_PER_INCH = 25.4
# Common practice, no source: three dots of the printer to a module; at 203 dpi that is 0.375 mm.
COARSEST_DPI = 203
DOTS_PER_MODULE = 3
RELIABLE_MODULE_MM = DOTS_PER_MODULE * MM_PER_INCH / COARSEST_DPI


@dataclass(frozen=True, slots=True)
class Symbol:
    """One code: its size in modules without quiet zone, and runs of dark modules (column, row from top, length)."""

    modules: int
    runs: tuple[tuple[int, int, int], ...]

    @property
    def modules_with_quiet(self) -> int:
        """Width of the code and the white it needs around it, in modules."""
        return self.modules + 2 * QUIET_MODULES


def tile_address(address: str, number: str) -> str:
    """The short address of a tile in capitals, which a QR code holds in fewer modules.

    Scheme and host may be written in any case (RFC 3986, 6.2.2.1). A path before it is left as it is.

    >>> tile_address("http://192.168.178.123:8000", "1042-9")
    'HTTP://192.168.178.123:8000/T/1042-9'
    >>> tile_address("https://glaze.example/studio/", "1042-9")
    'HTTPS://GLAZE.EXAMPLE/studio/T/1042-9'
    """
    parts = urlsplit(address.strip())
    return f"{parts.scheme.upper()}://{_ascii_host(parts.netloc).upper()}{parts.path.rstrip('/')}/T/{number}"


@lru_cache(maxsize=256)
def symbol(content: str) -> Symbol:
    """The smallest QR code with error correction M (15 % of codewords) that holds `content`."""
    code = zxingcpp.create_barcode(content, zxingcpp.BarcodeFormat.QRCode, ec_level="M")
    dark = np.asarray(code.to_image(scale=1, add_quiet_zones=False)) == 0
    return Symbol(len(dark), tuple(_runs(dark)))


def module_mm(content: str, side_mm: float) -> float:
    """The size of one module when the code and its quiet zone fill a square of `side_mm`."""
    return side_mm / symbol(content).modules_with_quiet


def least_side_mm(content: str) -> float:
    """The square, quiet zone included, below which a 203 dpi printer does not print the code reliably."""
    return symbol(content).modules_with_quiet * RELIABLE_MODULE_MM


def warning(content: str, side_mm: float) -> str:
    """What to tell when a code of this size may not be read, or nothing."""
    module = module_mm(content, side_mm)
    if module >= RELIABLE_MODULE_MM:
        return ""
    return (
        f"The code’s modules are {module:.2f} mm. Below {RELIABLE_MODULE_MM:.2f} mm many label printers blur them. "
        f"Use a label with room for {least_side_mm(content):.0f} mm, or a shorter studio address."
    )


def drawing(content: str, x_pt: float, y_pt: float, side_pt: float) -> str:
    """PDF operators that paint the code in the current colour as one path of rectangles.

    The square with its quiet zone has its lower left corner at (x, y). One path leaves no hairlines
    between rows, and is several times smaller and faster than a call for each rectangle.
    """
    shape = symbol(content)
    step = side_pt / shape.modules_with_quiet
    left, top = x_pt + QUIET_MODULES * step, y_pt + side_pt - QUIET_MODULES * step
    path = " ".join(f"{x} {-y} {length} -1 re" for x, y, length in shape.runs)
    return f"q {step:.5f} 0 0 {step:.5f} {left:.4f} {top:.4f} cm {path} f Q"


def _runs(dark: np.ndarray) -> Iterator[tuple[int, int, int]]:
    """Column, row and length of each stretch of dark modules."""
    framed = np.zeros((dark.shape[0], dark.shape[1] + 2), np.int8)
    framed[:, 1:-1] = dark
    edges = np.diff(framed)
    rows, starts = np.nonzero(edges == 1)
    ends = np.nonzero(edges == -1)[1]
    return zip(starts.tolist(), rows.tolist(), (ends - starts).tolist(), strict=True)


def _ascii_host(netloc: str) -> str:
    return netloc if netloc.isascii() else netloc.encode("idna").decode("ascii")
