"""Reading a PDF as a person with a ruler and a phone would: rendered by pdfium, which had no part in drawing it."""

import numpy as np
import pypdfium2
import zxingcpp

MM_PER_INCH = 25.4


def words(pdf: bytes, page: int = 0) -> str:
    """The text of a page as a reader copies it, in one line."""
    found = pypdfium2.PdfDocument(pdf)[page].get_textpage().get_text_bounded()
    return " ".join(found.replace("\xa0", " ").replace("\ufffe", "-").split())


def size_mm(pdf: bytes, page: int = 0) -> tuple[float, float]:
    """Width and height of a page."""
    width_pt, height_pt = pypdfium2.PdfDocument(pdf)[page].get_size()
    return width_pt / 72 * MM_PER_INCH, height_pt / 72 * MM_PER_INCH


def rendered(pdf: bytes, dpi: float, page: int = 0) -> np.ndarray:
    """A page as pixels, 0 black to 255 white."""
    bitmap = pypdfium2.PdfDocument(pdf)[page].render(scale=dpi / 72, grayscale=True)
    return bitmap.to_numpy().reshape(bitmap.height, bitmap.width)


def ink_mm(pixels: np.ndarray, dpi: float, within: tuple[float, float, float, float]) -> tuple[float, ...]:
    """Left, top, right and bottom of all ink within a window (left, top, right, bottom), all in mm."""
    left, top, right, bottom = (round(edge / MM_PER_INCH * dpi) for edge in within)
    part = pixels[max(0, top) : bottom, max(0, left) : right] < 128
    rows, columns = np.flatnonzero(part.any(axis=1)), np.flatnonzero(part.any(axis=0))
    edges = (columns[0] + left, rows[0] + top, columns[-1] + 1 + left, rows[-1] + 1 + top)
    return tuple(float(edge) / dpi * MM_PER_INCH for edge in edges)


def codes_seen(pixels: np.ndarray) -> list[str]:
    """What the QR codes in a picture say, in alphabetical order."""
    formats = zxingcpp.BarcodeFormat.QRCode
    return sorted(code.text for code in zxingcpp.read_barcodes(pixels, formats=formats))


def as_printed(pixels: np.ndarray) -> np.ndarray:
    """As a label printer lays it down, dot or no dot, and a camera near by sees it: each dot three pixels wide."""
    return np.kron(np.where(pixels < 128, 0, 255).astype(np.uint8), np.ones((3, 3), np.uint8))
