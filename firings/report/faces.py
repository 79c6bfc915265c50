"""The two faces of the report, read once and known to reportlab from then on."""

from functools import cache
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

FOLDER = Path(__file__).resolve().parents[2] / "static" / "fonts"
TEXT, BOLD = "NotoSans-Regular", "NotoSans-SemiBold"


@cache
def register() -> None:
    """Read the faces from our own font files."""
    for name in (TEXT, BOLD):
        pdfmetrics.registerFont(TTFont(name, str(FOLDER / f"{name}.ttf"), asciiReadable=True, shapable=False))
    pdfmetrics.registerFontFamily(TEXT, normal=TEXT, bold=BOLD, italic=TEXT, boldItalic=BOLD)
