"""Scripts beyond Latin, Greek and Cyrillic: which face has them, in which order they run, and which glyphs they take.

Their order is settled in `directions`; glyphs come from HarfBuzz.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import groupby
from pathlib import Path

import uharfbuzz

from tiles.prints import directions

FOLDER = Path(__file__).resolve().parents[2] / "static" / "fonts" / "scripts"
HAN, HANGUL = "DroidSansFallback", "TilewrightHangul"
# One glyph to a letter, in the order they are read.
PLAIN = (HAN, HANGUL)
# First and last character of each script, and the file of its face. Only the faces a text needs are read.
RANGES: tuple[tuple[int, int, str], ...] = (
    (0x0530, 0x058F, "NotoSansArmenian"),
    (0x0590, 0x05FF, "NotoSansHebrew"),
    (0x0600, 0x08FF, "NotoSansArabic"),
    (0x0900, 0x097F, "NotoSansDevanagari"),
    (0x0980, 0x09FF, "NotoSansBengali"),
    (0x0A00, 0x0A7F, "NotoSansGurmukhi"),
    (0x0A80, 0x0AFF, "NotoSansGujarati"),
    (0x0B80, 0x0BFF, "NotoSansTamil"),
    (0x0C00, 0x0C7F, "NotoSansTelugu"),
    (0x0C80, 0x0CFF, "NotoSansKannada"),
    (0x0D00, 0x0D7F, "NotoSansMalayalam"),
    (0x0D80, 0x0DFF, "NotoSansSinhala"),
    (0x0E00, 0x0E7F, "NotoSansThai"),
    (0x0E80, 0x0EFF, "NotoSansLao"),
    (0x1000, 0x109F, "NotoSansMyanmar"),
    (0x10A0, 0x10FF, "NotoSansGeorgian"),
    (0x1200, 0x139F, "NotoSansEthiopic"),
    (0x1780, 0x17FF, "NotoSansKhmer"),
    (0x1C90, 0x1CBF, "NotoSansGeorgian"),
    (0x3131, 0x318E, HANGUL),
    (0x2E80, 0xA4CF, HAN),
    (0xA8E0, 0xA8FF, "NotoSansDevanagari"),
    (0xAC00, 0xD7AF, HANGUL),
    (0xF900, 0xFAFF, HAN),
    (0xFB1D, 0xFB4F, "NotoSansHebrew"),
    (0xFB50, 0xFDFF, "NotoSansArabic"),
    (0xFE30, 0xFE4F, HAN),
    (0xFE70, 0xFEFE, "NotoSansArabic"),
    (0xFF00, 0xFFEF, HAN),
    (0x20000, 0x2FFFF, HAN),
)
# They have no width and join or part their neighbours; Arabic, Persian and Indian scripts are misspelt without.
JOINERS = "\u200c\u200d"


@dataclass(frozen=True, slots=True)
class Glyph:
    """One glyph of a face: its index there, the letters it is of as they follow on paper, how far the pen moves on, and
    where it is set.

    Lengths in parts of the type size. Where several glyphs are of the same letters, the first of them says which.
    """

    index: int
    letters: str
    advance: float
    across: float
    up: float


@dataclass(frozen=True, slots=True)
class Run:
    """A piece of a line in one face and one direction, as it follows from left to right on paper.

    `face` is empty for our own Latin, Greek and Cyrillic, whose text is then in the order it is drawn; else `text`
    is in the order it is read.
    """

    text: str
    face: str
    leftwards: bool


def face_of(letter: str) -> str:
    """The face of another script that has this letter, or nothing.

    >>> face_of("釉"), face_of("é")
    ('DroidSansFallback', '')
    """
    code = ord(letter)
    for first, last, face in RANGES:
        if first <= code <= last:
            return face if code in _characters(face) else ""
    return ""


def visual_runs(line: str, faces: Sequence[str]) -> list[Run]:
    """A line in runs from left to right; `faces` holds the face of each of its letters."""
    levels = _levels(line)
    cut = [list(run) for _, run in groupby(range(len(line)), key=lambda at: (levels[at], faces[at]))]
    runs = [(levels[run[0]], _run(line[run[0] : run[-1] + 1], faces[run[0]], levels[run[0]])) for run in cut]
    for level in range(max(levels, default=0), 0, -1):
        runs = _turned(runs, level)
    return [run for _, run in runs]


def _run(text: str, face: str, level: int) -> Run:
    leftwards = bool(level % 2)
    if leftwards and not face:
        text = directions.mirrored(text)
    return Run(text, face, leftwards)


def _turned(runs: list[tuple[int, Run]], least: int) -> list[tuple[int, Run]]:
    """Each stretch of runs of this level or above back to front (UAX #9, rule L2)."""
    turned: list[tuple[int, Run]] = []
    for is_high, stretch in groupby(runs, key=lambda pair: pair[0] >= least):
        pairs = list(stretch)
        turned += pairs[::-1] if is_high else pairs
    return turned


def _levels(line: str) -> list[int]:
    """The embedding level of each letter; joiners take that of the letter before."""
    found = iter(directions.levels("".join(letter for letter in line if letter not in JOINERS)))
    levels: list[int] = []
    for letter in line:
        levels.append((levels or [0])[-1] if letter in JOINERS else next(found))
    return levels


@lru_cache(maxsize=8192)
def glyphs(run: Run) -> tuple[Glyph, ...]:
    """The glyphs of a run of another script, from left to right."""
    font = _font(run.face)
    buffer = uharfbuzz.Buffer()
    buffer.cluster_level = uharfbuzz.BufferClusterLevel.MONOTONE_CHARACTERS
    buffer.add_str(run.text)
    buffer.guess_segment_properties()
    buffer.direction = "rtl" if run.leftwards else "ltr"
    uharfbuzz.shape(font, buffer)
    # Readers of PDFs turn a leftward line letter by letter, those of one glyph (lam-alef) too.
    way = -1 if run.leftwards else 1
    em, letters = font.face.upem, _letters(run.text, [info.cluster for info in buffer.glyph_infos])
    return tuple(
        Glyph(info.codepoint, said[::way], at.x_advance / em, at.x_offset / em, at.y_offset / em)
        for info, said, at in zip(buffer.glyph_infos, letters, buffer.glyph_positions, strict=True)
    )


def _letters(text: str, clusters: list[int]) -> list[str]:
    """The letters each glyph is of, by where its cluster begins; only the first glyph of a cluster has them."""
    starts = sorted(set(clusters))
    ends = dict(zip(starts, [*starts[1:], len(text)], strict=True))
    return [
        text[cluster : ends[cluster]] if not at or clusters[at - 1] != cluster else ""
        for at, cluster in enumerate(clusters)
    ]


def width(run: Run) -> float:
    """How far a run of another script runs, in parts of the type size."""
    return sum(glyph.advance for glyph in glyphs(run))


@cache
def _font(face: str) -> uharfbuzz.Font:
    return uharfbuzz.Font(uharfbuzz.Face(uharfbuzz.Blob((FOLDER / f"{face}.ttf").read_bytes())))


@cache
def _characters(face: str) -> frozenset[int]:
    return frozenset(_font(face).face.unicodes)


# Between these one may break a line without a space (UAX #14, classes ID and H2/H3, in the large).
_SPACELESS = ((0x2E80, 0xA4CF), (0xF900, 0xFAFF), (0xFF00, 0xFFEF), (0x20000, 0x2FFFF))
# Never at the start, never at the end of a line (JIS X 4051, in the large).
_NOT_FIRST = frozenset(
    "、。，．・：；？！」』）］｝〉》】〕ー々ぁぃぅぇぉっゃゅょゎァィゥェォッャュョヮ,.!?:;)]}»”’%"
)
_NOT_LAST = frozenset("「『（［｛〈《【〔([{«“‘")


def pieces(word: str) -> list[str]:
    """A word in the pieces between which a line may break though there is no space, as in Chinese and Japanese.

    >>> pieces("青磁「釉」が3回")
    ['青', '磁', '「釉」', 'が', '3', '回']
    """
    if word.isascii():
        return [word]
    cut: list[str] = []
    for letter in word:
        if cut and not _breaks(cut[-1][-1], letter):
            cut[-1] += letter
        else:
            cut.append(letter)
    return cut


def _breaks(before: str, after: str) -> bool:
    if before in _NOT_LAST or after in _NOT_FIRST:
        return False
    return _is_spaceless(before) or _is_spaceless(after)


def _is_spaceless(letter: str) -> bool:
    return any(first <= ord(letter) <= last for first, last in _SPACELESS)
