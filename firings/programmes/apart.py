"""Where two programmes differ: their segments side by side, and what the differences come to."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest

from firings.programmes.outlook import Outlook, SegmentLine
from firings.programmes.words import duration_words


@dataclass(frozen=True, slots=True)
class Pair:
    """A fact of both programmes, in words; nothing where one has no such segment."""

    words: str
    one: str
    other: str

    @property
    def is_different(self) -> bool:
        return self.one != self.other


def segment_words(line: SegmentLine | None) -> str:
    """A segment in one line."""
    if line is None:
        return ""
    hold = f", hold {line.hold}" if line.hold else ""
    return f"{line.pace} {line.leads} to {line.target}{hold}"


def segment_pairs(one: Sequence[SegmentLine], other: Sequence[SegmentLine]) -> list[Pair]:
    """Segments by their numbers."""
    return [
        Pair(f"Segment {number}", segment_words(left), segment_words(right))
        for number, (left, right) in enumerate(zip_longest(one, other), start=1)
    ]


def cones_apart(one: Outlook, other: Outlook) -> str:
    """By how much the second programme's cone differs, in words."""
    numbers = [outlook.prediction.equivalent.number for outlook in (one, other)]
    if None in numbers:
        return ""
    first, second = (number.value for number in numbers if number)
    steps = round(second - first, 1)
    if not steps:
        return "the same cone to a tenth"
    return f"{abs(steps):g} cone {'hotter' if steps > 0 else 'cooler'}"


def hours_apart(one: Outlook, other: Outlook) -> str:
    """By how much longer or shorter the second programme is, in words."""
    hours = other.prediction.duration_h - one.prediction.duration_h
    if round(hours * 60) == 0:
        return "just as long"
    return f"{duration_words(abs(hours))} {'longer' if hours > 0 else 'shorter'}"


def outlook_pairs(one: Outlook, other: Outlook) -> list[Pair]:
    """What both come to."""
    return [
        Pair("Predicted cone", one.cone, other.cone),
        Pair("Likely between", one.band, other.band),
        Pair("Takes", one.duration, other.duration),
        Pair("Top", one.top, other.top),
        Pair("Held at the top", one.held or "no hold", other.held or "no hold"),
    ]
