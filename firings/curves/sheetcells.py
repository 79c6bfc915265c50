"""The cells of one sheet, typed, as its XML streams by: nothing is kept but the cells, so they bound the memory.

Entities and document types are refused (defusedxml), formulas are passed over: what one came to is what was saved.
"""

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import IO, TypeAlias

# The types alone; it is defusedxml that parses.
from xml.sax.handler import ContentHandler  # nosec B406
from xml.sax.xmlreader import AttributesImpl  # nosec B406

import defusedxml.sax
from openpyxl.utils import column_index_from_string
from openpyxl.utils.datetime import from_excel, from_ISO8601

Cell: TypeAlias = str | bool | int | float | datetime | date | time | timedelta | None
Row: TypeAlias = tuple[Cell, ...]

# What the format of the cell says of a figure that cannot be the date it is marked as.
NO_DATE = "#VALUE!"
# As many columns and rows as a sheet has in the open format.
MOST_COLUMNS, MOST_ROWS = 16_384, 1_048_576
LONGEST_TEXT = 32_767
# Marks of XML to a cell: itself, its value, its formula and a text in it, and one more.
MARKS_TO_A_CELL = 5
# Merged areas that are told of one sheet.
MOST_MERGED = 100_000


class TooManyCells(Exception):
    """More than is read."""


class _Enough(Exception):
    """As many rows as were wanted."""


class Share(float):
    """A figure that its cell shows in percent: 0.03 for what reads 3%."""


@dataclass(frozen=True, slots=True)
class Typing:
    """What a workbook says of all its cells: shared texts, which formats are dates, durations or in percent, and where
    days begin."""

    texts: Sequence[str]
    dates: frozenset[int]
    durations: frozenset[int]
    shares: frozenset[int]
    epoch: datetime

    def moment(self, figure: float, style: int) -> Cell:
        try:
            found: Cell = from_excel(figure, self.epoch, timedelta=style in self.durations)
        except (OverflowError, ValueError):
            return NO_DATE
        return found

    def cell(self, words: str, kind: str, style: int) -> Cell:
        """A cell's value from its text and its type's letter."""
        if kind == "n":
            figure = float(words) if "." in words or "e" in words.casefold() else int(words)
            if style in self.shares:
                return Share(figure)
            return self.moment(figure, style) if style in self.dates else figure
        if kind == "s":
            return self.texts[int(words)]
        if kind == "b":
            return words == "1"
        found: Cell = from_ISO8601(words) if kind == "d" else words
        return found


class SheetCells(ContentHandler):
    """Gathers rows from the events of a sheet's XML; `unsaved` counts formulas without a saved result.

    `numbers` are the rows' own, as the spreadsheet counts; `merged` the areas of merged cells, such as A2:A5.
    """

    def __init__(self, typing: Typing, most_cells: int, most_rows: int | None = None) -> None:
        super().__init__()
        self.rows: list[Row] = []
        self.numbers: list[int] = []
        self.merged: list[str] = []
        self.unsaved = 0
        self.spent = 0
        self._typing = typing
        self._most_cells, self._most_rows = most_cells, most_rows or MOST_ROWS
        self._marks = 0
        self._row: list[Cell] = []
        self._number = 0
        self._place, self._kind, self._style = 0, "n", 0
        self._words: list[str] = []
        self._listening = self._has_formula = False
        self._starts: dict[str, Callable[[AttributesImpl], None]] = {
            "row": self._start_row,
            "c": self._start_cell,
            "f": self._start_formula,
            "v": self._start_words,
            "t": self._start_words,
            "mergeCell": self._start_merged,
        }
        self._ends: dict[str, Callable[[], None]] = {
            "row": self._end_row,
            "c": self._end_cell,
            "v": self._end_words,
            "t": self._end_words,
        }

    # The names of these three are the standard library's.
    def startElement(self, name: str, attrs: AttributesImpl) -> None:  # noqa: N802
        self._marks += 1
        if self._marks > MARKS_TO_A_CELL * self._most_cells:
            raise TooManyCells
        if start := self._starts.get(name) or self._starts.get(name.rpartition(":")[2]):
            start(attrs)

    def endElement(self, name: str) -> None:  # noqa: N802
        if end := self._ends.get(name) or self._ends.get(name.rpartition(":")[2]):
            end()

    def characters(self, content: str) -> None:
        if self._listening:
            self._words.append(content)

    def _start_row(self, attrs: AttributesImpl) -> None:
        self._row = []
        number = attrs.get("r")
        self._number = int(number) if number else self._number + 1

    def _start_merged(self, attrs: AttributesImpl) -> None:
        if len(self.merged) < MOST_MERGED:
            self.merged.append(attrs.get("ref", ""))

    def _start_cell(self, attrs: AttributesImpl) -> None:
        where = attrs.get("r")
        self._place = column_index_from_string(where.rstrip("0123456789")) - 1 if where else len(self._row)
        if self._place >= MOST_COLUMNS:
            raise TooManyCells
        self._kind, self._style = attrs.get("t", "n"), int(attrs.get("s", "0"))
        self._words, self._has_formula = [], False

    def _start_formula(self, attrs: AttributesImpl) -> None:
        self._has_formula = True

    def _start_words(self, attrs: AttributesImpl) -> None:
        self._listening = True

    def _end_words(self) -> None:
        self._listening = False

    def _end_cell(self) -> None:
        words = "".join(self._words)[:LONGEST_TEXT]
        if not words:
            self.unsaved += self._has_formula
            return
        missing = self._place - len(self._row)
        if missing < 0:
            raise ValueError("cells out of order")
        self.spent += missing + 1
        if self.spent > self._most_cells:
            raise TooManyCells
        if missing:
            self._row.extend([None] * missing)
        self._row.append(self._typing.cell(words, self._kind, self._style))

    def _end_row(self) -> None:
        if self._row:
            self.rows.append(tuple(self._row))
            self.numbers.append(self._number)
        if len(self.rows) >= self._most_rows:
            raise _Enough


def read_cells(file: IO[bytes], typing: Typing, most_cells: int, most_rows: int | None = None) -> SheetCells:
    """The rows of one sheet that hold cells.

    Parameters
    ----------
    file : the sheet's XML
    most_cells : of the rows' whole widths; with more it raises
    most_rows : read no more, to see how the sheet begins

    Raises
    ------
    TooManyCells : more cells, or other marks, than may be read
    """
    cells = SheetCells(typing, most_cells, most_rows)
    with suppress(_Enough):
        defusedxml.sax.parse(file, cells, forbid_dtd=True)
    return cells
