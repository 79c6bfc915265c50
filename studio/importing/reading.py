"""A spreadsheet as people keep it, as rows of text: .xlsx or CSV, merged cells and ditto marks filled in.

Every cell becomes text: figures with a point, dates in the order of ISO 8601, yes and no. So what is typed to mend a
cell is read the same way as what stood there.
"""

import csv
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from decimal import Decimal

from openpyxl.utils import range_boundaries

from firings.curves.sheetcells import Cell, Share
from firings.curves.sheets import in_view
from firings.curves.text import UnreadableCurve, decoded
from firings.curves.workbook import Sheet, is_workbook, sheets_of
from firings.words import counted
from studio.export.cells import RUNS

# Bounds of what is read [bytes, rows, columns, letters of a cell].
LARGEST_BYTES, MOST_ROWS, MOST_COLUMNS, LONGEST_CELL = 40 * 2**20, 250_000, 200, 10_000
SEPARATORS = (";", "\t", ",", "|")
LINES_LOOKED_AT = 80
# What stands for "as above" in a hand-kept list.
DITTO = frozenset({'"', "''", "〃", "”", "“", "ditto", "do.", "as above", "same"})


class Unreadable(Exception):
    """The file is no table that can be read here; the words say what to do."""


@dataclass(frozen=True, slots=True)
class Grid:
    """One sheet's rows of text, each with its number as the spreadsheet counts.

    sheet : its name, empty for CSV; `sheets` are all that could be taken
    said : what was assumed or filled in, in words
    wide : cells merged across columns of one row, by its number: the first and the last column of each
    """

    rows: list[tuple[str, ...]]
    numbers: list[int]
    sheet: str = ""
    sheets: tuple[str, ...] = ()
    said: tuple[str, ...] = ()
    wide: Mapping[int, Sequence[tuple[int, int]]] = field(default_factory=dict)

    def spans(self, at: int) -> Sequence[tuple[int, int]]:
        """The first and the last column of each cell that is merged across columns in a row."""
        return self.wide.get(self.numbers[at], ())

    @property
    def width(self) -> int:
        return len(self.rows[0]) if self.rows else 0


def read_grid(data: bytes, sheet: str = "") -> Grid:
    """Read a spreadsheet file; of several sheets the one named, or the longest in view.

    Raises
    ------
    Unreadable : empty, too large, with macros, locked, no spreadsheet; says what to do
    """
    if len(data) > LARGEST_BYTES:
        raise Unreadable(
            f"The file is larger than {LARGEST_BYTES // 2**20} MB. Take it in parts, or save it as CSV."
        )
    try:
        found = _from_workbook(data, sheet) if is_workbook(data) else _from_text(data)
    except UnreadableCurve as trouble:
        raise Unreadable(str(trouble.words)) from None
    if not found.rows:
        raise Unreadable("The file is empty: no cell holds anything.")
    if len(found.rows) > MOST_ROWS:
        raise Unreadable(f"There are more than {MOST_ROWS:,} rows. Take them in parts.")
    return _filled_in(found)


def _from_workbook(data: bytes, name: str) -> Grid:
    sheets = sheets_of(data)
    seen = in_view(sheets)
    chosen = next((one for one in seen if one.name == name), None) or max(seen, key=lambda one: len(one.rows))
    width = min(MOST_COLUMNS, max(map(len, chosen.rows)))
    same: dict[str, str] = {}
    words = ([_words(cell) for cell in row[:width]] for row in chosen.rows)
    rows = [_padded([same.setdefault(cell, cell) for cell in row], width) for row in words]
    said = []
    if len(seen) > 1:
        others = ", ".join(one.name for one in seen if one is not chosen)
        said.append(f"The sheet {chosen.name} is read; there are also {others}.")
    if chosen.unsaved:
        said.append(
            f"{counted(chosen.unsaved, 'formula')} came without a result and read as empty. Open the file in your "
            "spreadsheet, save it there and bring it in again."
        )
    rows, merged = _merged_filled(chosen, rows)
    if merged:
        said.append("Merged cells were read as if each held the same words.")
    numbers = chosen.numbers or list(range(1, len(rows) + 1))
    return Grid(
        rows, list(numbers), chosen.name, tuple(one.name for one in seen), tuple(said), _wide(chosen, width)
    )


def _wide(sheet: Sheet, width: int) -> dict[int, list[tuple[int, int]]]:
    """Cells merged across columns, by the number of their first row."""
    found: dict[int, list[tuple[int, int]]] = {}
    for area in sheet.merged:
        try:
            left, top, right, _ = range_boundaries(area)
        except (ValueError, TypeError):
            continue
        if left is not None and right is not None and top is not None and left < right and left <= width:
            found.setdefault(top, []).append((left - 1, min(right, width) - 1))
    return found


def _merged_filled(sheet: Sheet, rows: list[tuple[str, ...]]) -> tuple[list[tuple[str, ...]], bool]:
    """Rows with what stands in the corner of a merged area written into all of it."""
    place = {number: at for at, number in enumerate(sheet.numbers)}
    filled: dict[int, list[str]] = {}
    for area in sheet.merged:
        try:
            left, top, right, bottom = range_boundaries(area)
        except (ValueError, TypeError):
            continue
        if (
            left is None
            or top is None
            or bottom is None
            or right is None
            or bottom == top
            or top not in place
        ):
            # An area of one row is a title or a wide cell: its other columns stay empty.
            continue
        corner = rows[place[top]][left - 1] if left <= len(rows[place[top]]) else ""
        if not corner or bottom - top > MOST_ROWS:
            continue
        for number in range(top + 1, bottom + 1):
            if (at := place.get(number)) is not None:
                row = filled.setdefault(at, list(rows[at]))
                row[left - 1] = row[left - 1] or corner
    for at, row in filled.items():
        rows[at] = tuple(row)
    return rows, bool(filled)


def _from_text(data: bytes) -> Grid:
    text = decoded(data)
    separator = separator_of(text.text)
    rows: list[list[str]] = []
    numbers: list[int] = []
    tidy = _Tidied()
    try:
        for number, cells in enumerate(csv.reader(_lines(text.text), delimiter=separator), start=1):
            if any(trimmed := [tidy[cell] for cell in cells[:MOST_COLUMNS]]):
                rows.append(trimmed)
                numbers.append(number)
                if len(rows) > MOST_ROWS:
                    break
    except csv.Error as trouble:
        raise Unreadable(f"The file cannot be read as CSV: {trouble}.") from None
    width = max(map(len, rows), default=0)
    said: tuple[str, ...] = ()
    if text.encoding not in ("utf-8", "utf-8-sig"):
        said = (f"Its letters were read as {text.encoding}. Look whether accents and signs are right.",)
    return Grid([_padded(row, width) for row in rows], numbers, said=said)


class _Tidied(dict[str, str]):
    """Each distinct cell's text, made once: the same words in a hundred thousand rows are one string in memory."""

    def __missing__(self, cell: str) -> str:
        found = self[cell] = _tidy(cell)
        return found


def _lines(text: str) -> Iterator[str]:
    """One line after the other, never all of them beside the text."""
    start = 0
    while (end := text.find("\n", start)) >= 0:
        yield text[start:end]
        start = end + 1
    yield text[start:]


def _padded(row: list[str], width: int) -> tuple[str, ...]:
    return tuple(row) if len(row) == width else (*row, *[""] * (width - len(row)))


def separator_of(text: str) -> str:
    r"""What stands between the cells: that by which most lines have equally many.

    >>> separator_of("Our tiles\nName;Absorption\nDune;1,5\nSlate;2,25\n")
    ';'
    """
    lines = [line for line in text.split("\n", LINES_LOOKED_AT)[:LINES_LOOKED_AT] if line.strip()]

    def evenness(separator: str) -> tuple[int, int]:
        try:
            counts = Counter(len(row) for row in csv.reader(lines, delimiter=separator))
        except csv.Error:
            return (0, 0)
        (count, alike), *_ = sorted(counts.items(), key=lambda pair: (-pair[1], -pair[0])) or [(0, 0)]
        return (alike, count) if count > 1 else (0, 0)

    return max(SEPARATORS, key=evenness)


def _tidy(cell: str) -> str:
    """A cell's text without blanks around it, and without the apostrophe that keeps a formula from running."""
    words = cell.replace("\xa0", " ").replace("\0", "").strip()[:LONGEST_CELL]
    return words[1:] if words.startswith("'") and words[1:2] in RUNS and len(words) > 2 else words


def _words(cell: Cell) -> str:
    match cell:
        case None:
            return ""
        case str():
            return _tidy(cell)
        case bool():
            return "yes" if cell else "no"
        case Share():
            return f"{_figure(cell * 100)}%"
        case int():
            return str(cell)
        case float():
            return _figure(cell)
        case datetime():
            return cell.date().isoformat() if cell.time() == time() else cell.isoformat(" ", "minutes")
        case date():
            return cell.isoformat()
        case time():
            return cell.isoformat("minutes")
        case timedelta():
            minutes = round(cell.total_seconds() / 60)
            return f"{minutes // 60}:{minutes % 60:02}"


def _figure(value: float) -> str:
    """A figure as one sees it in its cell, not as it lies in memory.

    >>> _figure(6.0), _figure(0.1 + 0.2), _figure(1e-7)
    ('6', '0.3', '0.0000001')
    """
    words = f"{Decimal(f'{value:.12g}'):f}"
    return words.rstrip("0").rstrip(".") if "." in words else words


def _filled_in(grid: Grid) -> Grid:
    """Ditto marks as the words they stand for."""
    if not any(
        cell in DITTO or cell.casefold() in DITTO for row in grid.rows for cell in row if len(cell) < 9
    ):
        return grid
    rows: list[tuple[str, ...]] = []
    above: Sequence[str] = ("",) * grid.width
    for row in grid.rows:
        above = tuple(
            before if len(cell) < 9 and cell.casefold() in DITTO else cell
            for cell, before in zip(row, above, strict=True)
        )
        rows.append(tuple(above))
    return replace(grid, rows=rows, said=(*grid.said, "Ditto marks were read as the words above."))


def filled_down(cells: Sequence[str]) -> list[str]:
    """A column in which an empty cell means the same as the one above.

    >>> filled_down(["", "a", "", "b"])
    ['', 'a', 'a', 'b']
    """
    last, found = "", []
    for cell in cells:
        last = cell or last
        found.append(last)
    return found


def bare(words: str) -> str:
    """Words without case, brackets, signs and units behind.

    >>> bare(" Absorption (%) "), bare("Drying_time, min"), bare("Hold (h)")
    ('absorption', 'drying time min', 'hold')
    """
    outside = re.sub(r"\(.*?\)|\[.*?\]", " ", words.casefold())
    return " ".join(re.sub(r"[\W_]+", " ", outside).split())
