"""The table in a logger's file: where it begins, how its fields are parted, what its columns are called."""

import csv
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from firings.curves.cells import Kind, kind_of
from firings.curves.figures import Array, Marks, figures_of, marks_of
from firings.curves.text import UnreadableCurve

# In the order in which they are believed where two would do.
SEPARATORS = {"\t": "tabs", ";": "semicolons", "|": "bars", ",": "commas", " ": "blanks"}
MOST_ROWS = 5_000_000
# So many lines are looked at to find the shape.
_FIRST_LINES, _OTHER_LINES = 80, 320
_BLOCK_ROWS = 50_000
_MOST_COLUMNS = 200
_LONGEST_STAMP = 40
_TIMED = (Kind.STAMP, Kind.DATE, Kind.CLOCK)

_UNIT_CELL = re.compile(
    r"[\[(]?\s*(?:(?:°|º|deg\.?\s?)?[cfk]|celsius|fahrenheit|s|sec|seconds?|min|minutes?|h|hours?|hh?:mm(?::ss)?|%|kw|v"
    r"|[dmy]{1,4}[-/.][dmy]{1,4}[-/.][dmy]{1,4}.*)\s*[\])]?",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Column:
    """One column: figures where it is one of figures (not a number where a cell is none), else its texts.

    Texts that numpy's own reader could read at once are bytes, a letter each in Latin-1.
    """

    name: str
    kind: Kind
    marks: Marks
    figures: Array
    texts: NDArray[np.str_] | NDArray[np.bytes_]
    sample: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Layout:
    """How the lines are parted, the kinds of the fields, and a sample of rows."""

    separator: str
    quoted: bool
    kinds: tuple[Kind, ...]
    sample: list[list[str]]

    def fields(self, line: str) -> list[str]:
        return fields_of(line, self.separator, quoted=self.quoted)


@dataclass(frozen=True, slots=True)
class Table:
    """What a file holds: the lines before the table, its columns, and how many lines fitted nowhere."""

    separator: str
    preamble: list[str]
    header: list[str]
    columns: list[Column]
    rows: int
    odd_lines: int


@dataclass(frozen=True, slots=True)
class Block:
    """Some lines of the table: figures or texts of each column, how many rows they are, how many fitted nowhere."""

    columns: list[Any]
    rows: int
    odd: int = 0


def fields_of(line: str, separator: str, *, quoted: bool) -> list[str]:
    if separator == " ":
        return line.split()
    if not quoted:
        return line.split(separator)
    try:
        return next(csv.reader([line], delimiter=separator, skipinitialspace=True), [])
    except csv.Error:
        return []


def _sample(lines: Sequence[str]) -> list[str]:
    """Lines from the beginning and from all over the file."""
    step = max(1, len(lines) // _OTHER_LINES)
    chosen = [*lines[:_FIRST_LINES], *lines[_FIRST_LINES::step]]
    return [line for line in chosen if line.strip()]


def _kind_of_column(cells: Sequence[str]) -> Kind:
    kinds = Counter(kind for cell in cells if (kind := kind_of(cell)) is not Kind.MISSING)
    if not kinds:
        return Kind.MISSING
    kind, count = kinds.most_common(1)[0]
    return kind if count >= 0.5 * kinds.total() else Kind.WORD


def _fits(cells: Sequence[str], kinds: Sequence[Kind]) -> list[bool]:
    """For each column that is not one of words, whether the cell is of its kind."""
    typed = zip(cells, kinds, strict=True)
    return [kind_of(cell) is kind for cell, kind in typed if kind not in (Kind.WORD, Kind.MISSING)]


def _layout(lines: Sequence[str], separator: str) -> tuple[float, Layout] | None:
    """How well a separator explains the sample: 1 for rows all alike whose cells all are of their column's kind."""
    quoted = any('"' in line for line in lines)
    rows = [fields_of(line, separator, quoted=quoted) for line in lines]
    rows = [row for row in rows if any(char.isdigit() for cell in row for char in cell)]
    widths = Counter(len(row) for row in rows if 2 <= len(row) <= _MOST_COLUMNS)
    if not widths:
        return None
    width, count = widths.most_common(1)[0]
    alike = [row for row in rows if len(row) == width]
    kinds = tuple(_kind_of_column(column) for column in zip(*alike, strict=True))
    words = sum(kind is Kind.WORD for kind in kinds)
    fits = [fit for row in alike for fit in _fits(row, kinds)]
    if not fits:
        return None
    explained = sum(fits) / (len(fits) + words * len(alike))
    return count / len(rows) * explained, Layout(separator, quoted, kinds, alike)


def layout_of(lines: Sequence[str], separator: str | None = None) -> Layout:
    """The layout that explains the lines best.

    Raises
    ------
    UnreadableCurve : no table of figures, or a single column
    """
    sample = _sample(lines)
    tried = [_layout(sample, mark) for mark in ([separator] if separator else SEPARATORS)]
    found = [layout for layout in tried if layout is not None]
    score, layout = max(found, key=lambda one: one[0], default=(0.0, None))
    if layout is None or score < 0.25:
        raise UnreadableCurve(
            "No table of times and temperatures was found. Export the log as CSV, one reading a line."
        )
    return layout


def _is_row(layout: Layout, line: str) -> bool:
    """Whether a line is a row of the table: its time fits, or its first typed field, and half of the others."""
    cells = layout.fields(line)
    if len(cells) != len(layout.kinds):
        return False
    fits = _fits(cells, layout.kinds)
    stamps = [kind_of(cell) is kind for cell, kind in zip(cells, layout.kinds, strict=True) if kind in _TIMED]
    timed = any(stamps) if stamps else fits[0]
    return timed and sum(fits) * 2 >= len(fits)


def _first_row(layout: Layout, lines: Sequence[str]) -> int:
    """Where the table begins: a row that another follows."""
    for place, line in enumerate(lines):
        if _is_row(layout, line):
            after = [other for other in lines[place + 1 : place + 6] if other.strip()][:2]
            if not after or any(_is_row(layout, other) for other in after):
                return place
    raise UnreadableCurve(
        "No rows of times and temperatures were found. Export the log as CSV, one reading a line."
    )


def _is_header(cells: Sequence[str]) -> bool:
    return (
        sum(kind_of(cell) is Kind.WORD for cell in cells) * 2 >= sum(bool(cell.strip()) for cell in cells) > 0
    )


def _header(layout: Layout, before: Sequence[str]) -> list[str]:
    """The columns' names from the line above the table, with the units' row where there is one; else nothing."""
    lines = [line for line in before if line.strip()]
    if not lines:
        return []
    cells = [cell.strip().strip("#").strip() for cell in layout.fields(lines[-1].lstrip("#"))]
    _refuse_commas_for_both(layout, cells)
    width = len(layout.kinds)
    if len(cells) == width + 1 and not cells[-1]:
        cells.pop()
    if len(cells) != width or not _is_header(cells):
        return []
    if len(lines) > 1 and all(_UNIT_CELL.fullmatch(cell) for cell in cells if cell):
        above = [cell.strip() for cell in layout.fields(lines[-2].lstrip("#"))]
        if len(above) == width and _is_header(above):
            return [f"{name} {unit}".strip() for name, unit in zip(above, cells, strict=True)]
    return cells


def _refuse_commas_for_both(layout: Layout, header: Sequence[str]) -> None:
    """Refuse rows that have more fields than there are names: commas may part fields and be decimal marks too."""
    names = [name for name in header if name]
    fields = sum(kind is not Kind.MISSING for kind in layout.kinds)
    if layout.separator == "," and not layout.quoted and 2 <= len(names) < fields and _is_header(header):
        raise UnreadableCurve(
            f"The rows have {fields} fields for {len(names)} names; commas seem to part fields and to be decimal marks "
            "too. Export the log with semicolons or tabs between the fields."
        )


def _rows(layout: Layout, lines: list[str]) -> tuple[list[str], int]:
    """The lines of the table's width, and how many others there are."""
    if layout.separator == " ":
        lines = [" ".join(line.split()) for line in lines]
    if layout.quoted:
        alike = [line for line in lines if len(layout.fields(line)) == len(layout.kinds)]
    else:
        wanted = len(layout.kinds) - 1
        alike = [line for line in lines if line.count(layout.separator) == wanted]
    blank = sum(not line or line.isspace() for line in lines) if len(alike) < len(lines) else 0
    return alike, len(lines) - len(alike) - blank


def _plain_types(layout: Layout, marks: Sequence[Marks]) -> list[tuple[str, str]] | None:
    """The type of each column for numpy's own reader; None where some figures are not written its way."""
    figures = [mark for kind, mark in zip(layout.kinds, marks, strict=True) if kind is Kind.FIGURE]
    if layout.quoted or layout.separator == " " or not all(mark.are_plain for mark in figures):
        return None
    samples = zip(*layout.sample, strict=True)
    return [
        (f"column {place}", _plain_type(kind, sample))
        for place, (kind, sample) in enumerate(zip(layout.kinds, samples, strict=True))
    ]


def _plain_type(kind: Kind, sample: Sequence[str]) -> str:
    if kind is Kind.FIGURE:
        return "f8"
    return f"S{max(map(len, sample)) + 1}" if kind in _TIMED else "U1"


def _plain_block(layout: Layout, types: list[tuple[str, str]] | None, block: list[str]) -> list[Any] | None:
    """The columns of a block whose lines are all alike, by numpy's own reader; None where they are not."""
    if types is None:
        return None
    try:
        found = np.loadtxt(block, dtype=types, delimiter=layout.separator, comments=None, ndmin=1)
    except ValueError:
        return None
    columns = [_plain_column(kind, found[name]) for kind, (name, _) in zip(layout.kinds, types, strict=True)]
    cut = any(column is False for column in columns)
    # Empty lines are passed over without a word.
    return None if cut or len(found) < len(block) else columns


def _plain_column(kind: Kind, found: NDArray[Any]) -> Any:
    """Figures or texts; None for words, and False where a text was longer than any of the sample."""
    if kind is Kind.FIGURE:
        return np.where(np.isfinite(found), found, np.nan)
    if kind not in _TIMED:
        return None
    texts = np.ascontiguousarray(found)
    return False if texts.view(np.uint8).reshape(len(texts), -1)[:, -1].any() else texts


def _block_columns(
    layout: Layout, marks: Sequence[Marks], types: list[tuple[str, str]] | None, lines: list[str]
) -> Block:
    """Figures or texts of each column of a block of lines; nothing for columns of words."""
    if (plain := _plain_block(layout, types, lines)) is not None:
        return Block(plain, len(lines))
    rows, odd = _rows(layout, lines)
    if rows and (plain := _plain_block(layout, types, rows)) is not None:
        return Block(plain, len(rows), odd)
    columns: list[Any] = []
    for kind, mark, cells in zip(layout.kinds, marks, _cells(layout, rows), strict=True):
        if kind is Kind.FIGURE:
            columns.append(figures_of(cells, mark))
        else:
            columns.append(_texts(cells) if kind in _TIMED else None)
    return Block(columns, len(rows), odd)


def _cells(layout: Layout, block: list[str]) -> list[list[str]]:
    """The cells of each column; every line has the table's width."""
    if layout.quoted or not block:
        return [[layout.fields(line)[place] for line in block] for place in range(len(layout.kinds))]
    flat = layout.separator.join(block).split(layout.separator)
    return [flat[place :: len(layout.kinds)] for place in range(len(layout.kinds))]


def _columns(
    layout: Layout, header: Sequence[str], lines: list[str], decimal: str | None
) -> tuple[list[Column], int, int]:
    """The columns from the lines of the table, how many rows there are, and how many lines fitted nowhere."""
    samples = list(zip(*layout.sample, strict=True))
    marks = [marks_of(sample, decimal) for sample in samples]
    types = _plain_types(layout, marks)
    starts = range(0, len(lines), _BLOCK_ROWS)
    blocks = [_block_columns(layout, marks, types, lines[start : start + _BLOCK_ROWS]) for start in starts]
    parts = list(zip(*(block.columns for block in blocks if block.rows), strict=True))
    columns = [
        _column(
            header[place] if header else f"column {place + 1}",
            kind,
            marks[place],
            parts[place] if parts else (),
            samples[place],
        )
        for place, kind in enumerate(layout.kinds)
    ]
    return columns, sum(block.rows for block in blocks), sum(block.odd for block in blocks)


def _texts(cells: list[str]) -> NDArray[np.str_]:
    """Cells as one array; what is longer than any date and time is cut, as one long cell would widen all."""
    return np.array(cells, dtype=f"U{min(_LONGEST_STAMP, max(map(len, cells)) or 1)}")


def _column(name: str, kind: Kind, marks: Marks, parts: Sequence[Any], sample: tuple[str, ...]) -> Column:
    if len({part.dtype.kind for part in parts if part is not None}) > 1:
        parts = [part.astype(np.str_) for part in parts]
    read: Any = np.concatenate(parts) if parts and parts[0] is not None else np.zeros(0)
    figures = read if kind is Kind.FIGURE else np.zeros(0)
    texts = read if kind in _TIMED else np.zeros(0, dtype=str)
    return Column(name or "unnamed", kind, marks, figures, texts, sample)


def table_of(
    text: str, separator: str | None = None, *, decimal: str | None = None, header_rows: int | None = None
) -> Table:
    """The table in a text; separator, decimal mark and the number of lines before the table may be told.

    Raises
    ------
    UnreadableCurve : no table, more than five million rows, most lines of another shape, or commas for everything
    """
    lines = text.rstrip("\n").split("\n")
    if len(lines) > MOST_ROWS:
        raise UnreadableCurve(f"The file has more than {MOST_ROWS:,} lines. Log less often, or cut it.")
    if header_rows is not None and not 0 <= header_rows < len(lines) - 1:
        raise UnreadableCurve(f"The file has {len(lines)} lines; the table must begin before the last.")
    layout = layout_of(lines if header_rows is None else lines[header_rows:], separator)
    first = _first_row(layout, lines) if header_rows is None else header_rows
    header = _header(layout, lines[:first])
    columns, rows, odd = _columns(layout, header, lines[first:], decimal)
    if odd > rows:
        raise UnreadableCurve(
            "Most lines have another number of fields than the others. Export the log as CSV."
        )
    preamble = [line for line in lines[:first] if line.strip()]
    return Table(layout.separator, preamble, header, columns, rows, odd)
