"""Lengths as people read them off a packet of labels: 63.5, 63,5 mm, 2 5/8 in."""

import re
from decimal import ROUND_HALF_UP, Decimal

from firings.units import read_figure

MM_PER_INCH = Decimal("25.4")
VULGAR = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3",
}  # fmt: skip


def read_mm(text: str) -> Decimal:
    """A length in millimetres, or in inches where `in` or `"` follows; to the hundredth of a millimetre.

    Raises
    ------
    ValueError : no length, in words fit for a form

    >>> read_mm("63,5"), read_mm("2 5/8 in"), read_mm("½ in")
    (Decimal('63.50'), Decimal('66.68'), Decimal('12.70'))
    """
    bare = text.strip().casefold()
    inches = re.fullmatch(r"(.*?)\s*(?:in|inch|inches|″|\")\.?", bare)
    length = _inches(inches[1]) * MM_PER_INCH if inches else read_figure(re.sub(r"\s*mm$", "", bare))
    return length.quantize(Decimal("0.01"), ROUND_HALF_UP)


def _inches(text: str) -> Decimal:
    """Inches with a fraction or decimals."""
    for sign, fraction in VULGAR.items():
        text = text.replace(sign, f" {fraction}")
    whole = re.fullmatch(r"\s*(?:(\d+)[\s-]+)?(\d+)/([1-9]\d*)\s*", text)
    if whole:
        return Decimal(whole[1] or 0) + Decimal(whole[2]) / Decimal(whole[3])
    return read_figure(text)
