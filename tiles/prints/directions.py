"""In which direction each letter of a line runs: the Unicode bidirectional algorithm (UAX #9, revision 48).

Without explicit embeddings and isolates (X1 to X8): our lines never hold their marks. One line is one paragraph.
"""

from collections.abc import Iterator, Sequence
from itertools import groupby
from unicodedata import bidirectional, category

from bidi.mirror import MIRRORED

STRONG = ("L", "R", "AL")
NUMBERS = ("EN", "AN")
MOST_OPEN_BRACKETS = 63
# Two pairs of angle brackets are one and the same (UAX #9, BD16).
SAME = {"\u2329": "\u3008", "\u232a": "\u3009"}


def mirrored(text: str) -> str:
    """The text from its end to its beginning, brackets turned over.

    >>> mirrored("(a]")
    '[a)'
    """
    return "".join(MIRRORED.get(letter, letter) for letter in reversed(text))


def levels(line: str) -> list[int]:
    """The embedding level of each letter: even runs to the right, odd to the left.

    >>> levels("ab אב 12")
    [0, 0, 0, 1, 1, 1, 2, 2]
    """
    kinds = [bidirectional(letter) or "L" for letter in line]
    base = next((0 if kind == "L" else 1 for kind in kinds if kind in STRONG), 0)
    edge = "LR"[base]
    settled = _weak(kinds, edge)
    _settle_brackets(line, kinds, settled, edge)
    return [base + _above(kind, base) for kind in _neutral(settled, edge)]


def _above(kind: str, base: int) -> int:
    """Rules I1 and I2."""
    if base:
        return 0 if kind == "R" else 1
    return {"L": 0, "R": 1}.get(kind, 2)


def _weak(kinds: Sequence[str], edge: str) -> list[str]:
    """Rules W1 to W7."""
    settled = _numbers_by_letters(_marks(kinds, edge), edge)
    settled = _signs_in_numbers(settled)
    settled = ["ON" if kind in ("ES", "ET", "CS") else kind for kind in settled]
    strong = edge
    for at, kind in enumerate(settled):
        strong = kind if kind in ("L", "R") else strong
        if kind == "EN" and strong == "L":
            settled[at] = "L"
    return settled


def _marks(kinds: Sequence[str], edge: str) -> list[str]:
    """A mark goes with the letter before it (W1)."""
    settled: list[str] = []
    for kind in kinds:
        settled.append((settled or [edge])[-1] if kind == "NSM" else kind)
    return settled


def _numbers_by_letters(kinds: Sequence[str], edge: str) -> list[str]:
    """Figures after Arabic letters are Arabic figures; Arabic letters run leftwards (W2, W3)."""
    settled, strong = [], edge
    for kind in kinds:
        strong = kind if kind in STRONG else strong
        settled.append("AN" if kind == "EN" and strong == "AL" else "R" if kind == "AL" else kind)
    return settled


def _signs_in_numbers(kinds: list[str]) -> list[str]:
    """A sign between figures, and signs such as % and ° beside them, belong to the number (W4, W5)."""
    settled = list(kinds)
    for at in range(1, len(kinds) - 1):
        before, after = settled[at - 1], kinds[at + 1]
        if before == after and (
            (kinds[at] == "ES" and before == "EN") or (kinds[at] == "CS" and before in NUMBERS)
        ):
            settled[at] = before
    for is_sign, run in groupby(range(len(settled)), key=lambda at: settled[at] == "ET"):
        places = list(run)
        beside = settled[max(places[0] - 1, 0)], settled[min(places[-1] + 1, len(settled) - 1)]
        if is_sign and "EN" in beside:
            for at in places:
                settled[at] = "EN"
    return settled


def _settle_brackets(line: str, kinds: Sequence[str], settled: list[str], edge: str) -> None:
    """Both brackets of a pair run as what they hold (N0)."""
    for first, last in sorted(_pairs(line, settled)):
        within = {_side(kind) for kind in settled[first + 1 : last]} - {""}
        if not within:
            continue
        before = next((_side(kind) for kind in reversed(settled[:first]) if _side(kind)), edge)
        way = edge if edge in within or before == edge else before
        for at in (first, last):
            settled[at] = way
            for mark in range(at + 1, len(line)):
                if kinds[mark] != "NSM":
                    break
                settled[mark] = way


def _pairs(line: str, settled: Sequence[str]) -> Iterator[tuple[int, int]]:
    """Opening and closing brackets that belong together (BD16)."""
    opened: list[tuple[str, int]] = []
    for at, letter in enumerate(line):
        if settled[at] != "ON" or letter not in MIRRORED:
            continue
        letter = SAME.get(letter, letter)
        if category(letter) == "Ps":
            if len(opened) == MOST_OPEN_BRACKETS:
                return
            opened.append((MIRRORED[letter], at))
        elif category(letter) == "Pe":
            found = next(
                (place for place in reversed(range(len(opened))) if opened[place][0] == letter), None
            )
            if found is not None:
                yield opened[found][1], at
                del opened[found:]


def _side(kind: str) -> str:
    """Figures count as leftward letters among neutrals."""
    return "R" if kind in ("R", *NUMBERS) else kind if kind == "L" else ""


def _neutral(settled: Sequence[str], edge: str) -> list[str]:
    """What is between letters of one direction runs like them, all else like the line (N1, N2)."""
    kinds = list(settled)
    for is_neutral, run in groupby(range(len(kinds)), key=lambda at: not _side(kinds[at])):
        places = list(run)
        if not is_neutral:
            continue
        before = _side(kinds[places[0] - 1]) if places[0] else edge
        after = _side(kinds[places[-1] + 1]) if places[-1] + 1 < len(kinds) else edge
        for at in places:
            kinds[at] = before if before == after else edge
    return kinds
