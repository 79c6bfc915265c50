"""A spreadsheet saved as CSV, as people and their programs write it: its rows, and what its headings mean."""

import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from rapidfuzz import fuzz, process

# Bounds of what is read: a catalogue is short.
LARGEST_BYTES, MOST_ROWS = 8 * 2**20, 5_000
SEPARATORS = (";", "\t", ",")
# How alike two words must be before one is offered for the other, from 0 to 100.
ALIKE = 75


class Unreadable(Exception):
    """The file is no table that can be read here; the words say what to do."""


@dataclass(frozen=True, slots=True)
class Line:
    """One row: its number as the spreadsheet counts, and its cells by column."""

    number: int
    cells: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Table:
    """The rows of a file. `columns` names the heading behind each field; `left_out` the headings nobody knows."""

    columns: Mapping[str, str]
    left_out: tuple[str, ...]
    lines: tuple[Line, ...]


def read(data: bytes, known: Mapping[str, Sequence[str]]) -> Table:
    """Read a file whose columns may be any of `known`: for each field the headings it goes by.

    Raises
    ------
    Unreadable : empty, no text, too long, or two columns that mean the same
    """
    rows = list(_rows(_text(data)))
    if not rows:
        raise Unreadable("The file is empty.")
    (_, headings), *below = rows
    fields = [field_of(heading, known) for heading in headings]
    named = [field for field in fields if field]
    twice = next((field for field in named if named.count(field) > 1), "")
    if twice:
        both = " and ".join(f"“{h}”" for h, field in zip(headings, fields, strict=True) if field == twice)
        raise Unreadable(f"The columns {both} mean the same. Take one of them out.")
    return Table(
        {field: heading for field, heading in zip(fields, headings, strict=True) if field},
        tuple(heading for heading, field in zip(headings, fields, strict=True) if heading and not field),
        tuple(_line(number, cells, fields) for number, cells in below),
    )


def _line(number: int, cells: Sequence[str], fields: Sequence[str]) -> Line:
    if any(cells[len(fields) :]):
        raise Unreadable(
            f"Row {number} has more cells than there are headings. Is a text with commas in quotes?"
        )
    # A row that stops early has nothing in the columns that are left.
    return Line(number, {field: cell for field, cell in zip(fields, cells, strict=False) if field})


def _text(data: bytes) -> str:
    """UTF-8, else what spreadsheets on Windows wrote by themselves for decades."""
    if len(data) > LARGEST_BYTES:
        raise Unreadable("The file is too large to be a list of glazes or bodies.")
    if data.startswith(b"PK\x03\x04") or b"\0" in data:
        raise Unreadable("This is not CSV. In your spreadsheet choose “save as”, CSV, and take that file.")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def _rows(text: str) -> Iterator[tuple[int, list[str]]]:
    """Rows with something in them, numbered as the spreadsheet counts."""
    try:
        for number, cells in enumerate(csv.reader(text.splitlines(True), delimiter=separator(text)), start=1):
            if number > MOST_ROWS:
                raise Unreadable(f"There are more than {MOST_ROWS:,} rows. Take them in parts.")
            if any(trimmed := [cell.strip() for cell in cells]):
                yield number, trimmed
    except csv.Error as trouble:
        raise Unreadable(f"The file cannot be read as CSV: {trouble}.") from None


def separator(text: str) -> str:
    """What stands between the cells, by the first line that holds any.

    >>> separator("Name;Absorption\\nDune;1,5")
    ';'
    """
    first = next((line for line in text.splitlines() if line.strip()), "")
    return max(SEPARATORS, key=first.count)


def bare(words: str) -> str:
    """Words without case, brackets, signs and units behind.

    >>> bare(" Absorption (%) "), bare("Drying_time, min")
    ('absorption', 'drying time min')
    """
    return " ".join(re.sub(r"\(.*?\)|[\W_]+", " ", words.casefold()).split())


def field_of(heading: str, known: Mapping[str, Sequence[str]]) -> str:
    """The field a heading means, or "" when nobody knows it."""
    return next((field for field, names in known.items() if bare(heading) in map(bare, names)), "")


def nearest(word: str, words: Sequence[str]) -> str:
    """The one that was perhaps meant, or "".

    >>> nearest("celadn", ["celadon", "tenmoku"]), nearest("iron", ["celadon", "tenmoku"])
    ('celadon', '')
    """
    found = process.extractOne(word, words, scorer=fuzz.ratio, processor=bare, score_cutoff=ALIKE)
    return str(found[0]) if found else ""
