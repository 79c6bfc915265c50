"""What each column of a sheet most likely holds, with the reason."""

import hashlib
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from rapidfuzz import fuzz, process

from firings.vocabulary import Atmosphere, Term
from studio.importing import cells
from studio.importing.asides import bare_of_asides
from studio.importing.fields import IGNORED, RESULTS, Field, unit_in
from studio.importing.headings import Heading, headings_of, known_headings
from studio.importing.reading import Grid, bare
from tiles.vocabulary import Degree, Method, Opacity, Surface, Verdict

CELLS_LOOKED_AT = 400
# How alike a heading must be to one that is known, from 0 to 100.
ALIKE = 84
# The share of cells that must read as what a column is taken for.
MOST, SOME = 0.8, 0.4
SAMPLES = 3
# Words that say no more than the word over them: Glaze over Name, Kiln over Which.
NAMING = frozenset({"", "name", "no", "nr", "number", "which", "used", "what", "id", "code"})
# Glaze and coats under a word for what lies below.
UNDER = {("under", "glaze"): "under", ("under", "coats"): "under_coats"}
# Where a word over several columns names something that is read from words or figures, the cells tell whose it is.
READ_BY: Mapping[str, Callable[[str], object]] = {
    "surface": partial(cells.term, Surface),
    "opacity": partial(cells.term, Opacity),
    "verdict": partial(cells.term, Verdict),
    "pooling": partial(cells.term, Degree),
    "breaking": partial(cells.term, Degree),
    "atmosphere": partial(cells.term, Atmosphere),
    "method": partial(cells.term, Method),
    "flaws": lambda cell: cells.flaws(cell) or cells.says_none(cell),
    "coats": cells.amount,
    "cone": lambda cell: cells.cone(cell).order,
    "date": lambda cell: cells.day(cell, cells.DAY),
    "run": lambda cell: str(cells.length_mm(cell)),
    "hold": lambda cell: str(cells.minutes(cell)),
    "top_temp": lambda cell: cells.degrees_c(cell),
}


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its heading, what it is taken for (its field's key, or IGNORED), why, and some of its cells."""

    place: int
    heading: str
    field: str
    why: str
    samples: tuple[str, ...]
    unit: str = ""
    has_gaps: bool = False

    @property
    def letter(self) -> str:
        """The column as spreadsheets name it.

        >>> Column(27, "", "", "", ()).letter
        'AB'
        """
        left, letters = self.place + 1, ""
        while left:
            left, rest = divmod(left - 1, 26)
            letters = chr(65 + rest) + letters
        return letters

    @property
    def name(self) -> str:
        return self.heading or f"column {self.letter}"


def header_key(kind: str, headings: Iterable[str]) -> str:
    """What tells one layout of columns from another: its headings, whatever their case and signs."""
    told = "\x1f".join((kind, *map(bare, headings)))
    return hashlib.sha256(told.encode()).hexdigest()[:32]


def guessed(
    grid: Grid, header: int, kind: str, fields: Sequence[Field], names: Mapping[str, Collection[str]]
) -> list[Column]:
    """What each column most likely holds. No field is given twice: the better reason wins, then the first column."""
    below = bare_of_asides(grid.rows[header + 1 :])
    offers = []
    drafts = []
    for place, heading in enumerate(headings_of(grid, header, fields)):
        column = [row[place] for row in below[: CELLS_LOOKED_AT * 5]]
        drafts.append((place, heading, column))
        told = [cell for cell in column if not cells.is_nothing(cell)][:CELLS_LOOKED_AT]
        for strength, key, why in _offers(heading, told, kind, fields, names):
            offers.append((-strength, place, key, why))
    taken: dict[int, tuple[str, str]] = {}
    for _, place, key, why in sorted(offers):
        if place not in taken and key not in {one for one, _ in taken.values()}:
            taken[place] = (key, why)
    return [_column(place, heading, column, taken.get(place)) for place, heading, column in drafts]


def _column(place: int, heading: Heading, column: Sequence[str], taken: tuple[str, str] | None) -> Column:
    samples = tuple(dict.fromkeys(cell for cell in column if cell))[:SAMPLES]
    key, why = taken or (IGNORED, "nothing here says what it is" if samples else "the column is empty")
    gaps = sum(not cell for cell in column)
    has_gaps = bool(column) and bool(column[0]) and gaps > len(column) * 0.3
    unit = unit_in(heading.own) or unit_in(heading.group)
    return Column(place, heading.words, key, why, samples, unit, has_gaps)


def _offers(
    heading: Heading,
    told: Sequence[str],
    kind: str,
    fields: Sequence[Field],
    names: Mapping[str, Collection[str]],
) -> Iterable[tuple[int, str, str]]:
    """What a column may be: how strong the reason is, the field's key, and the reason in words."""
    known = known_headings(fields)
    yield from _by_group(heading, told, known)
    word = bare(heading.own)
    if word not in known and unit_in(heading.own):
        word = word.rpartition(" ")[0]
    if word in known and not (known[word] == "stack" and told and _contradicts_stack(told)):
        # Result or notes under Surface may be the surface in words: what the cells look like tells.
        is_vague = heading.group and known[word] == "remark"
        yield (40 if is_vague else 100), known[word], "the heading says so"
    elif len(word) > 3:
        found = process.extractOne(word, list(known), scorer=fuzz.ratio, score_cutoff=ALIKE)
        if found:
            yield 60 + int(found[1] - ALIKE), known[found[0]], f"the heading is much like “{found[0]}”"
    if kind == RESULTS and told:
        yield from _by_cells(told, names)


def _by_group(
    heading: Heading, told: Sequence[str], known: Mapping[str, str]
) -> Iterable[tuple[int, str, str]]:
    """What the word over a group of columns says of one of them."""
    for words in heading.together:
        if words in known:
            yield 105, known[words], f"both headings say so, as “{words}”"
    group, own = known.get(bare(heading.group), ""), known.get(bare(heading.own), "")
    if (group, own) in UNDER:
        yield 105, UNDER[group, own], "both headings say so"
    if not group or own not in ("", "remark"):
        return
    reads = READ_BY.get(group)
    if reads and told and _share(told, reads) > MOST:
        yield 90, group, f"it stands under “{heading.group}”, and its cells read so"
    elif not reads and not own and bare(heading.own) in NAMING:
        yield 90, group, f"it stands under “{heading.group}”"


def _contradicts_stack(told: Sequence[str]) -> bool:
    return all(cell.isdigit() for cell in told)


def _by_cells(told: Sequence[str], names: Mapping[str, Collection[str]]) -> Iterable[tuple[int, str, str]]:
    """What the cells themselves look like."""
    if _share(told, _is_stack) > SOME:
        yield 110, "stack", "its cells read as layers with their coats"
    if all(any(letter.isdigit() for letter in cell) for cell in told[:20]) and _share(told, _is_day) > MOST:
        yield 50, "date", "its cells are days"
    if _share(told, lambda cell: cells.cone(cell).order > 0) > MOST and any(
        c[0] in "∆Δ△^" or c[0] == "0" or c[-1:].upper() == "R" for c in told
    ):
        yield 48, "cone", "its cells are cones"
    for key in ("body", "kiln", "form", "glaze"):
        these = {name.casefold() for name in names.get(key, ())}
        if these and sum(cell.casefold() in these for cell in told) > len(told) * 0.5:
            yield 55, key, f"its cells are names of the studio’s {_PLURAL[key]}"
    words: tuple[tuple[str, type[Term]], ...] = (
        ("surface", Surface),
        ("opacity", Opacity),
        ("verdict", Verdict),
    )
    for key, term in words:
        if not told[0].isdigit() and _share(told, partial(cells.term, term)) > MOST:
            yield 45, key, f"its cells are words for {key}"
    if _share(told, lambda cell: bool(cells.flaws(cell))) > MOST and not told[0].isdigit():
        yield 44, "flaws", "its cells are flaws"
    if (
        _share(told, lambda cell: cell.casefold().endswith((".jpg", ".jpeg", ".png", ".heic", ".webp")))
        > MOST
    ):
        yield 70, "photo", "its cells are names of picture files"


def _is_stack(cell: str) -> bool:
    """Whether a cell names glazes and says how much of each."""
    layers = cells.stack(cell)
    return bool(layers) and all(one.amount and any(map(str.isalpha, one.glaze)) for one in layers)


_PLURAL = {"body": "clay bodies", "kiln": "kilns", "form": "tile forms", "glaze": "glazes"}


def _is_day(cell: str) -> bool:
    return bool(cells.day(cell, cells.DAY))


def _share(told: Sequence[str], reads: Callable[[str], object]) -> float:
    good = 0
    for cell in told:
        try:
            good += bool(reads(cell))
        except ValueError:
            continue
    return good / len(told)
