"""Setting words in a box: shrunk to a floor, then wrapped, then reported. Nothing is cut silently.

What cannot be set ends in "…" on paper and is handed back whole, so that a page can name it before printing.
"""

import re
import unicodedata
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from tiles.prints import fonts, shaping
from tiles.prints.fonts import Typeface

PT_PER_MM = 72 / 25.4
ELLIPSIS = "…"
STEP_PT = 0.25
# Marks a piece that follows the one before it without a space; never printed, as no text we set holds it.
NO_SPACE = "\x1f"
# Sums of widths are floats; a hundredth of a millimetre is below what any printer shows.
SLACK_PT = 0.02
# Spaces at which a line is not broken: coats stay with their glaze, a letter that ends a name with that name, a figure
# with its unit, a day with its month.
_MONTHS = "Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec"
KEPT_TOGETHER = re.compile(
    r" (?=[×·])| (?=\w{1,2} ×)|(?<=\+) |(?<=\bcone) (?=\d)|(?<=\brun) (?=\d)|(?<=\breached) (?=\d)|(?<=\bshelf) (?=\d)"
    rf"|(?<=\d) (?=(?:mm|cm|min|g|s|h|in|°C|°F|coats?|{_MONTHS})\b)|(?<=\d (?:{_MONTHS})) (?=\d)"
)


@dataclass(frozen=True, slots=True)
class Type:
    """How words are set: face, preferred size, the floor they may shrink to, line distance as a part of the size."""

    typeface: Typeface
    size_pt: float
    floor_pt: float
    leading: float = 1.22

    def at(self, scale: float) -> "Type":
        """The same type at one smaller size and no other, though never below its floor."""
        size_pt = max(self.floor_pt, self.size_pt * scale)
        return replace(self, size_pt=size_pt, floor_pt=size_pt)


@dataclass(frozen=True, slots=True)
class Fitted:
    """Words as they are set.

    lines : what is drawn, top to bottom
    overflow : the words for which there was no room, empty when all fits
    missing : the letters which the faces do not have, drawn as ▯
    """

    typeface: Typeface
    lines: tuple[str, ...]
    size_pt: float
    leading_pt: float
    overflow: str = ""
    missing: str = ""

    @property
    def height_mm(self) -> float:
        """From the top of the first line's letters to the foot of the last one's."""
        return height_pt(len(self.lines), self.size_pt, self.leading_pt) / PT_PER_MM

    @property
    def width_mm(self) -> float:
        """Of the widest line."""
        return max((self.line_width_mm(line) for line in self.lines), default=0.0)

    def line_width_mm(self, line: str) -> float:
        """How far one of the lines runs."""
        return fonts.width_pt(line, self.typeface, self.size_pt) / PT_PER_MM

    def baselines_mm(self) -> Iterator[tuple[float, str]]:
        """Each line with the distance of its baseline below the top of the box."""
        for index, line in enumerate(self.lines):
            yield (fonts.ASCENT * self.size_pt + index * self.leading_pt) / PT_PER_MM, line


@lru_cache(maxsize=4096)
def fit(text: str, kind: Type, width_mm: float, height_mm: float) -> Fitted:
    """Words that belong on one line: shrunk to the floor first, wrapped only then."""
    one_line = _on_one_line(fonts.printable(text), kind, width_mm * PT_PER_MM)
    if one_line and one_line.height_mm <= height_mm + SLACK_PT:
        return replace(one_line, missing=fonts.missing_characters(text))
    return flow(text, kind, width_mm, height_mm)


@lru_cache(maxsize=4096)
def flow(text: str, kind: Type, width_mm: float, height_mm: float) -> Fitted:
    """A sentence or more: wrapped at the largest size, down to the floor, at which all of it fits."""
    words, width_pt = _words(fonts.printable(text)), width_mm * PT_PER_MM
    for size_pt in _sizes(kind):
        lines = _wrapped(words, kind.typeface, size_pt, width_pt)
        if lines is not None and height_pt(len(lines), size_pt, size_pt * kind.leading) <= (
            height_mm * PT_PER_MM + SLACK_PT
        ):
            return _set(text, kind, lines, size_pt)
    return _cut(text, words, kind, width_pt, height_mm * PT_PER_MM)


def height_pt(lines: int, size_pt: float, leading_pt: float) -> float:
    """What a number of lines takes [pt]."""
    return 0.0 if lines == 0 else (fonts.ASCENT + fonts.DESCENT) * size_pt + (lines - 1) * leading_pt


def _set(text: str, kind: Type, lines: list[str], size_pt: float, overflow: str = "") -> Fitted:
    missing = fonts.missing_characters(text)
    return Fitted(kind.typeface, tuple(lines), size_pt, size_pt * kind.leading, overflow, missing)


def _on_one_line(line: str, kind: Type, width_pt: float) -> Fitted | None:
    at_one_pt = fonts.width_pt(line, kind.typeface, 1)
    size_pt = kind.size_pt if at_one_pt == 0 else min(kind.size_pt, width_pt / at_one_pt)
    if size_pt < kind.floor_pt:
        return None
    return Fitted(kind.typeface, (line,) if line else (), size_pt, size_pt * kind.leading)


def _sizes(kind: Type) -> Iterator[float]:
    """From the preferred size to the floor."""
    size_pt = kind.size_pt
    while size_pt > kind.floor_pt:
        yield size_pt
        size_pt -= STEP_PT
    yield kind.floor_pt


def _words(line: str) -> list[str]:
    """What may stand at the start of a line; a piece that follows without a space begins with NO_SPACE."""
    words = KEPT_TOGETHER.sub("\xa0", line).split(" ") if line else []
    if fonts.is_ours(line):
        return words
    return [piece for word in words for piece in _joined(shaping.pieces(word))]


def _joined(pieces: list[str]) -> list[str]:
    return [NO_SPACE * bool(index) + piece for index, piece in enumerate(pieces)]


def _wrapped(words: list[str], typeface: Typeface, size_pt: float, width_pt: float) -> list[str] | None:
    """The words in lines, or None when a word alone is wider than the box at this size."""
    space_pt, most_pt = fonts.width_pt(" ", typeface, size_pt), width_pt + SLACK_PT
    lines: list[str] = []
    used_pt = most_pt
    for word in words:
        bare = word.removeprefix(NO_SPACE)
        between = "" if bare != word else " "
        gap_pt = space_pt if between else 0.0
        word_pt = fonts.width_pt(bare, typeface, size_pt)
        if word_pt > most_pt:
            return None
        if used_pt + gap_pt + word_pt <= most_pt:
            lines[-1] += between + bare
            used_pt += gap_pt + word_pt
        else:
            lines.append(bare)
            used_pt = word_pt
    return lines


def _cut(text: str, words: list[str], kind: Type, width_pt: float, height_pt_: float) -> Fitted:
    """At the floor: long words broken, as many lines as there is room for, the rest handed back."""

    def fits(line: str) -> bool:
        return fonts.width_pt(line, kind.typeface, kind.floor_pt) <= width_pt + SLACK_PT

    pieces = [piece for word in words for piece in _broken(word, fits)]
    lines = _wrapped(pieces, kind.typeface, kind.floor_pt, width_pt)
    leading_pt = kind.floor_pt * kind.leading
    room = _lines_in(height_pt_, kind.floor_pt, leading_pt)
    if lines is None or room == 0:
        return _set(text, kind, [], kind.floor_pt, " ".join(words).replace(f" {NO_SPACE}", ""))
    if len(lines) <= room:
        return _set(text, kind, lines, kind.floor_pt)
    shown, rest = _with_ellipsis(lines[room - 1], fits)
    overflow = " ".join(part for part in (rest, *lines[room:]) if part)
    return _set(text, kind, [*lines[: room - 1], shown], kind.floor_pt, overflow)


def _lines_in(room_pt: float, size_pt: float, leading_pt: float) -> int:
    """How many lines a height holds."""
    first = (fonts.ASCENT + fonts.DESCENT) * size_pt
    return 0 if room_pt + SLACK_PT < first else 1 + int((room_pt + SLACK_PT - first) / leading_pt)


def _broken(word: str, fits: Callable[[str], bool]) -> Iterator[str]:
    """A word in pieces that fit; a single letter is a piece even where it does not."""
    piece = ""
    for letter in word:
        if (
            piece.strip(NO_SPACE)
            and not unicodedata.combining(letter)
            and not fits(piece.strip(NO_SPACE) + letter)
        ):
            yield piece
            piece = ""
        piece += letter
    yield piece


def _with_ellipsis(line: str, fits: Callable[[str], bool]) -> tuple[str, str]:
    """A line that says that more was meant to follow, and what was taken from it to make room: words, else letters."""
    kept = line
    while kept and not fits(kept.rstrip() + ELLIPSIS):
        kept = kept[: kept.rindex(" ")] if " " in kept else kept[:-1]
    return kept.rstrip() + ELLIPSIS, line[len(kept) :].strip()
