"""The faces our pages are set in, which letters they have, and how wide words run in them."""

import unicodedata
from enum import StrEnum
from functools import cache
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

FOLDER = Path(__file__).resolve().parents[2] / "static" / "fonts"

# Shown in place of a letter that no face has; such letters are always reported as well.
NO_GLYPH = "▯"

# Heights of Noto Sans in parts of the type size, as stated in its OS/2 table and measured on its letters.
CAP_HEIGHT = 0.714
ASCENT = 0.77
DESCENT = 0.24


class Typeface(StrEnum):
    """The four faces; the value is the font file's name and the name in the PDF."""

    TEXT = "NotoSans-Regular"
    BOLD = "NotoSans-SemiBold"
    NARROW = "NotoSans-Condensed"
    NARROW_BOLD = "NotoSans-CondensedSemiBold"


@cache
def font(typeface: Typeface) -> TTFont:
    """The face, read once and known to reportlab from then on."""
    face = TTFont(typeface.value, str(FOLDER / f"{typeface.value}.ttf"), asciiReadable=True, shapable=False)
    pdfmetrics.registerFont(face)
    return face


@cache
def _widths(typeface: Typeface) -> dict[int, float]:
    """Advance of each character at 1 pt."""
    face = font(typeface).face
    return {code: advance / 1000 for code, advance in face.charWidths.items()} | {
        0xA0: face.charWidths[32] / 1000
    }


def width_pt(text: str, typeface: Typeface, size_pt: float) -> float:
    """How far `text` runs when set in one line [pt].

    >>> width_pt("0123456789", Typeface.TEXT, 10)
    57.2
    """
    widths = _widths(typeface)
    return round(size_pt * sum(widths.get(ord(letter), 0.6) for letter in text), 6)


def plain(text: str) -> str:
    """One line of composed letters: accents joined to their letters, controls and runs of space made one space.

    >>> plain("Tenmoku  one\\ntwo")
    'Tenmoku one two'
    """
    composed = unicodedata.normalize("NFC", text)
    seen = "".join(" " if letter.isspace() and letter != "\xa0" else letter for letter in composed)
    return " ".join(word for word in _without_controls(seen).split(" ") if word)


def missing_characters(text: str) -> str:
    """The letters of `text`, each once and in order, which our faces cannot print as they should be.

    Left out of the faces are scripts beyond Latin, Greek and Cyrillic, and accents that do not
    join with their letter to one character (they would be set beside it).

    >>> missing_characters("Harbour ×3, 釉 and 釉薬")
    '釉薬'
    """
    return "".join(dict.fromkeys(letter for letter in plain(text) if not _has(letter)))


def printable(text: str) -> str:
    """`text` on one line with every letter that cannot be printed shown as ▯.

    >>> printable("青 Harbour")
    '▯ Harbour'
    """
    return "".join(letter if _has(letter) else NO_GLYPH for letter in plain(text))


def _has(letter: str) -> bool:
    return ord(letter) in _widths(Typeface.TEXT) and not unicodedata.combining(letter)


def _without_controls(text: str) -> str:
    """Without characters that are not to be seen: controls, soft hyphens, joiners and direction marks."""
    return "".join(letter for letter in text if unicodedata.category(letter) not in {"Cc", "Cf"})
