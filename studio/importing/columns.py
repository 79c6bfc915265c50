"""Where a sheet's headings stand, and what each column most likely holds, with the reason."""

import hashlib
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from rapidfuzz import fuzz, process

from firings.vocabulary import Term
from studio.importing import cells
from studio.importing.fields import IGNORED, RESULTS, Field, unit_in
from studio.importing.reading import Grid, bare
from tiles.vocabulary import Opacity, Surface, Verdict

ROWS_LOOKED_AT = 40
CELLS_LOOKED_AT = 400
# How alike a heading must be to one that is known, from 0 to 100.
ALIKE = 84
# The share of cells that must read as what a column is taken for.
MOST, SOME = 0.8, 0.4
SAMPLES = 3


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


def heading_row(grid: Grid, fields: Sequence[Field]) -> int:
    """Where the headings stand among the rows: the row with most cells that are known headings.

    Where none is known it is the first with two cells or more, all of them words. The sheet's last row heads nothing.
    """
    known = _headings(fields)
    rows = grid.rows[:-1][:ROWS_LOOKED_AT]
    scores = [len({known[word] for cell in row if (word := bare(cell)) in known}) for row in rows]
    best = max(range(len(rows)), key=lambda at: (scores[at], -at), default=0)
    if scores and scores[best]:
        return best
    for at, row in enumerate(rows):
        told = [cell for cell in row if cell]
        if len(told) > 1 and not any(any(letter.isdigit() for letter in cell) for cell in told):
            return at
    return next((at for at, row in enumerate(rows) if sum(map(bool, row)) > 1), 0)


def _headings(fields: Sequence[Field]) -> dict[str, str]:
    known: dict[str, str] = {}
    for field in fields:
        for heading in (*field.headings, field.label, field.key):
            known.setdefault(bare(heading), field.key)
    return known


def knows_heading(cell: str, fields: Sequence[Field]) -> bool:
    """Whether a cell is a heading that people write over one of these columns."""
    return bare(cell) in _headings(fields)


def header_key(kind: str, headings: Iterable[str]) -> str:
    """What tells one layout of columns from another: its headings, whatever their case and signs."""
    told = "\x1f".join((kind, *map(bare, headings)))
    return hashlib.sha256(told.encode()).hexdigest()[:32]


def guessed(
    grid: Grid, header: int, kind: str, fields: Sequence[Field], names: Mapping[str, Collection[str]]
) -> list[Column]:
    """What each column most likely holds. No field is given twice: the better reason wins, then the first column."""
    below = grid.rows[header + 1 :]
    offers = []
    drafts = []
    for place, heading in enumerate(grid.rows[header]):
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


def _column(place: int, heading: str, column: Sequence[str], taken: tuple[str, str] | None) -> Column:
    samples = tuple(dict.fromkeys(cell for cell in column if cell))[:SAMPLES]
    key, why = taken or (IGNORED, "nothing here says what it is" if samples else "the column is empty")
    gaps = sum(not cell for cell in column)
    has_gaps = bool(column) and bool(column[0]) and gaps > len(column) * 0.3
    return Column(place, heading, key, why, samples, unit_in(heading), has_gaps)


def _offers(
    heading: str,
    told: Sequence[str],
    kind: str,
    fields: Sequence[Field],
    names: Mapping[str, Collection[str]],
) -> Iterable[tuple[int, str, str]]:
    """What a column may be: how strong the reason is, the field's key, and the reason in words."""
    known, word = _headings(fields), bare(heading)
    if word not in known and unit_in(heading):
        word = word.rpartition(" ")[0]
    if word in known and not (known[word] == "stack" and told and _contradicts_stack(told)):
        yield 100, known[word], "the heading says so"
    elif len(word) > 3:
        found = process.extractOne(word, list(known), scorer=fuzz.ratio, score_cutoff=ALIKE)
        if found:
            yield 60 + int(found[1] - ALIKE), known[found[0]], f"the heading is much like “{found[0]}”"
    if kind == RESULTS and told:
        yield from _by_cells(told, names)


def _contradicts_stack(told: Sequence[str]) -> bool:
    return all(cell.isdigit() for cell in told)


def _by_cells(told: Sequence[str], names: Mapping[str, Collection[str]]) -> Iterable[tuple[int, str, str]]:
    """What the cells themselves look like."""
    if _share(told, _is_stack) > SOME:
        yield 110, "stack", "its cells read as layers with their coats"
    if all(any(letter.isdigit() for letter in cell) for cell in told[:20]) and _share(told, _is_day) > MOST:
        yield 50, "date", "its cells are days"
    if _share(told, lambda cell: cells.cone(cell).order > 0) > MOST and any(
        "∆" in c or "^" in c or c[0] == "0" or c[-1:].upper() == "R" for c in told
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
