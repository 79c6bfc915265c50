"""Setting a line that holds other scripts: run by run from left to right, glyph by glyph where a script needs it."""

from typing import Literal

from reportlab.pdfgen.textobject import PDFTextObject

from tiles.prints import fonts, shaping
from tiles.prints.fonts import Typeface
from tiles.prints.marks import Words
from tiles.prints.shaping import PLAIN, Run

# Other scripts come in one weight; where bold is asked for, their outlines are drawn so thick, in parts of the size.
BOLD_LINE = 0.028
FILLED: Literal[0] = 0
FILLED_AND_OUTLINED: Literal[2] = 2


def set_runs(words: PDFTextObject, mark: Words) -> None:
    """Put a line into a text object that stands at its left end."""
    x_pt, y_pt = words.getX(), words.getY()
    for run in fonts.runs(mark.text):
        if run.face:
            _set_script(words, mark, run, x_pt, y_pt)
        else:
            words.setTextOrigin(x_pt, y_pt)
            words.setFont(mark.typeface.value, mark.size_pt)
            words.textOut(run.text)
        x_pt += fonts.run_width(run, mark.typeface) * mark.size_pt


def _set_script(words: PDFTextObject, mark: Words, run: Run, x_pt: float, y_pt: float) -> None:
    is_bold = mark.typeface in (Typeface.BOLD, Typeface.NARROW_BOLD)
    if is_bold:
        words.setStrokeGray(mark.grey)
        _raw(words, f"{BOLD_LINE * mark.size_pt:.3f} w")
        words.setTextRenderMode(FILLED_AND_OUTLINED)
    fonts.script_font(run.face)
    words.setFont(run.face, mark.size_pt)
    if run.face in PLAIN:
        words.setTextOrigin(x_pt, y_pt)
        words.textOut(run.text)
    else:
        _set_glyphs(words, mark, run, x_pt, y_pt)
    if is_bold:
        words.setTextRenderMode(FILLED)


def _set_glyphs(words: PDFTextObject, mark: Words, run: Run, x_pt: float, y_pt: float) -> None:
    """Glyph by glyph. For searching and copying, the text of a run that is read as the glyphs follow is written beside
    it (ISO 32000-1, 14.9.4); a reader turns leftward glyphs by itself, each of which knows its letters.
    """
    if not run.leftwards:
        _raw(words, f"/Span <</ActualText <FEFF{run.text.encode('utf-16-be').hex().upper()}>>> BDC")
    for glyph in shaping.glyphs(run):
        words.setTextOrigin(x_pt + glyph.across * mark.size_pt, y_pt + glyph.up * mark.size_pt)
        words.textOut(fonts.script_font(run.face).letter_of(glyph))
        x_pt += glyph.advance * mark.size_pt
    if not run.leftwards:
        _raw(words, "EMC")


def _raw(words: PDFTextObject, operators: str) -> None:
    """Operators that reportlab has no call for."""
    words._code.append(operators)  # type: ignore[attr-defined]
