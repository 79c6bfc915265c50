"""The faces our pages are set in, which letters they have, and how wide words run in them."""

import unicodedata
from enum import StrEnum
from functools import cache, lru_cache
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.pdfdoc import PDFDocument
from reportlab.pdfbase.ttfonts import TTFont

from tiles.prints import shaping
from tiles.prints.shaping import Glyph, Run

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


# Glyphs are put into reportlab's text as characters of private use.
FIRST_PRIVATE = 0xE000


class ScriptFont(TTFont):
    """The face of another script, in whose PDF text each glyph stands for the letters it is drawn for."""

    def __init__(self, face: str) -> None:
        super().__init__(face, str(shaping.FOLDER / f"{face}.ttf"), asciiReadable=False, shapable=False)
        self._private: dict[tuple[int, str], int] = {}
        self._letters: dict[int, str] = {}

    def letter_of(self, glyph: Glyph) -> str:
        """The character that stands for a glyph."""
        key = (glyph.index, glyph.letters)
        if key not in self._private:
            private = self._private[key] = FIRST_PRIVATE + len(self._private)
            self._letters[private] = glyph.letters
            self.face.charToGlyph[private] = glyph.index
            self.face.charWidths[private] = glyph.advance * 1000
        return chr(self._private[key])

    def addObjects(self, doc: PDFDocument) -> None:  # noqa: N802
        """Write the font's subsets, and say of each glyph which letters it is of."""
        subsets = [list(subset) for subset in self.state[doc].subsets]
        super().addObjects(doc)
        maps = [
            made
            for name, made in doc.idToObject.items()
            if name.startswith("toUnicodeCMap:") and f"+{self.face.name.decode()}" in name
        ]
        for subset, made in zip(subsets, maps, strict=True):
            made.content = _to_unicode([self._letters.get(code, chr(code)) for code in subset])  # type: ignore[attr-defined]


def _to_unicode(letters: list[str]) -> str:
    """Which letters each code of a font is of (ISO 32000-1, 9.10.3)."""
    pairs = [
        f"<{code:02X}> <{said.encode('utf-16-be').hex().upper()}>"
        for code, said in enumerate(letters)
        if said
    ]
    groups = [pairs[first : first + 100] for first in range(0, len(pairs), 100)]
    return "\n".join(
        (
            "/CIDInit /ProcSet findresource begin 12 dict begin begincmap",
            "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def",
            "/CMapName /Tilewright def /CMapType 2 def",
            "1 begincodespacerange <00> <FF> endcodespacerange",
            *(f"{len(group)} beginbfchar\n" + "\n".join(group) + "\nendbfchar" for group in groups),
            "endcmap CMapName currentdict /CMap defineresource pop end end",
        )
    )


@cache
def script_font(face: str) -> ScriptFont:
    """The face of another script, by its file's name."""
    read = ScriptFont(face)
    pdfmetrics.registerFont(read)
    return read


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
    try:
        return round(size_pt * sum([widths[ord(letter)] for letter in text]), 6)
    except KeyError:
        return round(size_pt * _width_of_runs(text, typeface), 6)


@lru_cache(maxsize=8192)
def _width_of_runs(text: str, typeface: Typeface) -> float:
    return sum(run_width(run, typeface) for run in runs(text))


def run_width(run: Run, typeface: Typeface) -> float:
    """How far a run runs, in parts of the type size."""
    if run.face:
        return shaping.width(run)
    widths = _widths(typeface)
    return sum(widths.get(ord(letter), 0.6) for letter in run.text)


@lru_cache(maxsize=8192)
def runs(line: str) -> tuple[Run, ...]:
    """A printable line in runs of one face each, from left to right."""
    faces = [face or "" for face in _faces(line)]
    return tuple(shaping.visual_runs(line, faces))


@cache
def _our_letters() -> frozenset[str]:
    return frozenset(map(chr, _widths(Typeface.TEXT)))


def is_ours(text: str) -> bool:
    """Whether a line can be drawn in our own faces just as it stands."""
    return _our_letters().issuperset(text)


@lru_cache(maxsize=8192)
def plain(text: str) -> str:
    """One line of composed letters: accents joined to their letters, controls and runs of space made one space.

    >>> plain("Tenmoku  one\\ntwo")
    'Tenmoku one two'
    """
    if text.isascii() and text.isprintable():
        return " ".join(text.split())
    composed = unicodedata.normalize("NFC", text)
    seen = "".join(" " if letter.isspace() and letter != "\xa0" else letter for letter in composed)
    bare = seen if is_ours(seen) and seen.isprintable() else _without_controls(seen)
    return " ".join(word for word in bare.split(" ") if word)


def missing_characters(text: str) -> str:
    """The letters of `text`, each once and in order, which our faces cannot print as they should be.

    Left out are scripts that no face has, and accents that do not join with their letter to one character of ours
    (they would be set beside it).

    >>> missing_characters("Harbour ×3, 釉 and 🏺")
    '🏺'
    """
    letters = plain(text)
    if is_ours(letters):
        return ""
    pairs = zip(letters, _faces(letters), strict=True)
    return "".join(dict.fromkeys(letter for letter, face in pairs if face is None))


def printable(text: str) -> str:
    """`text` on one line with every letter that cannot be printed shown as ▯.

    >>> printable("🏺 Harbour")
    '▯ Harbour'
    """
    letters = plain(text)
    if is_ours(letters):
        return letters
    pairs = zip(letters, _faces(letters), strict=True)
    return "".join(NO_GLYPH if face is None else letter for letter, face in pairs)


def _faces(letters: str) -> list[str | None]:
    """For each letter the face of its script, "" for our own, None where none has it. Marks follow their letter's."""
    widths = _widths(Typeface.TEXT)
    faces: list[str | None] = []
    for letter in letters:
        before = faces[-1] if faces else None
        if letter in shaping.JOINERS:
            faces.append(before)
        elif unicodedata.combining(letter):
            faces.append(before if before and shaping.face_of(letter) == before else None)
        else:
            faces.append("" if ord(letter) in widths else shaping.face_of(letter) or None)
    return faces


def _without_controls(text: str) -> str:
    """Without controls, soft hyphens and direction marks, which are not to be seen; joiners stay where they count."""
    kept = ""
    for letter in text:
        if letter in shaping.JOINERS:
            kept += letter if kept and shaping.face_of(kept[-1]) else ""
        elif unicodedata.category(letter) not in {"Cc", "Cf"}:
            kept += letter
    return kept
