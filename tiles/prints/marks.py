"""What is drawn on one card or label, before any paper: marks in millimetres from its upper left corner."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from tiles.prints import codes
from tiles.prints.fit import Fitted
from tiles.prints.fonts import Typeface
from tiles.prints.stock import Box

BLACK = 0.0
# Lightness of secondary words: dark enough for 7:1 contrast on white paper (WCAG 2.2, 1.4.6).
GREY_INK = 0.33
NUMBERS_SHOWN = 5


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text; `baseline_mm` is measured down from the top, `grey` is 0 for black and 1 for white."""

    text: str
    x_mm: float
    baseline_mm: float
    typeface: Typeface
    size_pt: float
    grey: float = BLACK


@dataclass(frozen=True, slots=True)
class Code:
    """A QR code that fills the box together with its quiet zone."""

    content: str
    box: Box


@dataclass(frozen=True, slots=True)
class Plate:
    """A rectangle filled with a grey, or only outlined with it."""

    box: Box
    grey: float
    filled: bool = True


@dataclass(frozen=True, slots=True)
class Patch:
    """A square of colour, such as #8a4b2f, with a thin edge so that a white one is seen."""

    box: Box
    shown: str


@dataclass(frozen=True, slots=True)
class Rule:
    """A thin straight line."""

    x1_mm: float
    y1_mm: float
    x2_mm: float
    y2_mm: float
    grey: float = BLACK
    width_pt: float = 0.4


@dataclass(frozen=True, slots=True)
class Line:
    """A line through points [mm], dashed by lengths of dash and gap [pt]; filled with a grey it is closed."""

    points: tuple[tuple[float, float], ...]
    grey: float = BLACK
    width_pt: float = 0.8
    dash_pt: tuple[float, ...] = ()
    filled: float | None = None


@dataclass(frozen=True, slots=True)
class Picture:
    """A photograph's file, set as large as fits the box, centred."""

    path: Path
    box: Box


Mark = Words | Code | Plate | Patch | Rule | Line | Picture


@dataclass(frozen=True, slots=True)
class Note:
    """What a person should know before printing: which tile, and what does not fit or cannot be shown."""

    number: str
    sentence: str

    @property
    def first(self) -> str:
        """The first of its tiles' numbers, for a link.

        >>> Note("1042-9, 1043-5 and 7 more", "").first
        '1042-9'
        """
        return self.number.partition(",")[0].partition(" and ")[0]


@dataclass(slots=True)
class Layout:
    """All marks of one card or label, what found no room on it, and which letters could not be shown."""

    number: str
    width_mm: float
    height_mm: float
    marks: list[Mark] = field(default_factory=list)
    left_out: list[tuple[str, str]] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)

    @property
    def notes(self) -> list[Note]:
        """At most one sentence of each kind."""
        sentences = list(self.warnings)
        if self.left_out:
            parts = "; ".join(f"{what} “{text}”" for what, text in self.left_out)
            sentences.append(f"No room for all of it. Left out: {parts}.")
        if self.missing:
            letters = " ".join(dict.fromkeys("".join(self.missing)))
            sentences.append(f"Our fonts cannot print these letters, so ▯ stands for them: {letters}")
        return [Note(self.number, sentence) for sentence in sentences]

    def set(
        self,
        what: str,
        fitted: Fitted,
        box: Box,
        *,
        grey: float = BLACK,
        align: Literal["left", "centre", "right"] = "left",
    ) -> float:
        """Put fitted words at the top of a box, keep account of what is amiss, and return where they end [mm]."""
        share = {"left": 0.0, "centre": 0.5, "right": 1.0}[align]
        for below_mm, line in fitted.baselines_mm():
            slack_mm = (box.width_mm - fitted.line_width_mm(line)) * share if share else 0.0
            baseline_mm = box.y_mm + below_mm
            self.marks.append(
                Words(line, box.x_mm + slack_mm, baseline_mm, fitted.typeface, fitted.size_pt, grey)
            )
        if fitted.overflow:
            self.left_out.append((what, fitted.overflow.replace("\xa0", " ")))
        if fitted.missing:
            self.missing.append(fitted.missing)
        return box.y_mm + fitted.height_mm

    def code(self, content: str, box: Box) -> None:
        """Put a code, and warn when it comes out too fine to be read reliably."""
        self.marks.append(Code(content, box))
        if warning := codes.warning(content, box.width_mm):
            self.warnings.append(warning)


def gathered(notes: Iterable[Note]) -> list[Note]:
    """Notes that say the same as one, with all their numbers."""
    by_sentence: dict[str, list[str]] = {}
    for note in notes:
        by_sentence.setdefault(note.sentence, []).append(note.number)
    return [Note(_numbers_words(numbers), sentence) for sentence, numbers in by_sentence.items()]


def _numbers_words(numbers: list[str]) -> str:
    shown = ", ".join(numbers[:NUMBERS_SHOWN])
    more = len(numbers) - NUMBERS_SHOWN
    return f"{shown} and {more} more" if more > 0 else shown


def strokes(length_mm: float, stroke_mm: tuple[float, float, float]) -> Iterator[tuple[int, float]]:
    """Millimetre and length of each stroke of a ruler; `stroke_mm` says how long at every millimetre, five and ten.

    >>> [length for at, length in strokes(10, (1.0, 2.0, 3.0)) if at in (0, 4, 5, 10)]
    [3.0, 1.0, 2.0, 3.0]
    """
    short, middle, tall = stroke_mm
    for at_mm in range(round(length_mm) + 1):
        yield at_mm, tall if at_mm % 10 == 0 else middle if at_mm % 5 == 0 else short
