"""A spreadsheet's sheets as text that reads like any logger's file, and which of several sheets is the log.

Cells are typed, so nothing need be guessed of them: figures are written with a point, dates and times in the order of
ISO 8601, elapsed times as hours, minutes and seconds.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Generic, TypeVar

from openpyxl.utils.datetime import to_excel

from firings.curves.cells import FIGURE
from firings.curves.figures import Marks, figure_of, marks_of
from firings.curves.sheetcells import Cell
from firings.curves.text import Text, UnreadableCurve
from firings.curves.workbook import Sheet
from firings.words import counted

Read = TypeVar("Read")

SPREADSHEET = "spreadsheet"
SEPARATOR = "\t"
# A date before this is no date but a time of more than a day, counted from the spreadsheet's own beginning.
FIRST_YEAR = 1910
# Texts of a column that are looked at to find their decimal mark.
_SAMPLE = 2000
_THREE_DECIMALS = re.compile(r"-?\d{1,3}\.\d{3}")


@dataclass(frozen=True, slots=True)
class ReadSheet(Generic[Read]):
    """The sheet that was read, what was read, what the choice assumed, and what else is to be said."""

    sheet: Sheet
    read: Read
    guesses: list[str]
    words: list[str]


def _figure_words(figure: float) -> str:
    """A figure as text; three decimals get a fourth, as they could be taken for thousands.

    >>> _figure_words(1222), _figure_words(0.125)
    ('1222', '0.1250')
    """
    words = repr(figure)
    return f"{words}0" if _THREE_DECIMALS.fullmatch(words) else words


def _elapsed_words(seconds: float) -> str:
    """
    >>> _elapsed_words(93784.5)
    '26:03:04.500'
    """
    milliseconds = round(seconds * 1000)
    whole, rest = divmod(milliseconds, 1000)
    words = f"{whole // 3600:02}:{whole // 60 % 60:02}:{whole % 60:02}"
    return f"{words}.{rest:03}" if rest else words


def _moment_words(moment: datetime, *, as_date: bool) -> str:
    if moment.year < FIRST_YEAR:
        return _elapsed_words(float(to_excel(moment)) * 86400)
    if as_date:
        return moment.date().isoformat()
    return moment.isoformat(timespec="milliseconds" if moment.microsecond else "seconds")


def _words_of_text(text: str, marks: Marks) -> str:
    """A text on one line; where it is a figure, with a point and its unit behind it."""
    match = FIGURE.fullmatch(text.strip())
    if match is None:
        return " ".join(text.split())
    return f"{_figure_words(figure_of(text, marks))} {match['unit'] or ''}".strip()


def _column_words(cells: Sequence[Cell], decimal: str | None) -> list[str]:
    """A column's cells as text."""
    texts = [cell for cell in cells if isinstance(cell, str)]
    marks = marks_of(texts[:: max(1, len(texts) // _SAMPLE)], decimal)
    moments = [cell for cell in cells if isinstance(cell, datetime)]
    as_date = all(moment.time() == time() for moment in moments)

    def words(cell: Cell) -> str:
        match cell:
            case None:
                return ""
            case str():
                return _words_of_text(cell, marks)
            case bool():
                return str(cell)
            case int() | float():
                return _figure_words(cell)
            case datetime():
                return _moment_words(cell, as_date=as_date)
            case date() | time():
                return cell.isoformat()
            case timedelta():
                return _elapsed_words(cell.total_seconds())

    return list(map(words, cells))


def written_out(sheet: Sheet, decimal: str | None = None) -> Text:
    """A sheet as text, its cells parted by tabs, columns without a cell left out.

    Parameters
    ----------
    decimal : the mark in figures that were typed as text, where it was told
    """
    width = max(map(len, sheet.rows))
    padded = [row if len(row) == width else row + (None,) * (width - len(row)) for row in sheet.rows]
    columns = [column for column in zip(*padded, strict=True) if any(cell is not None for cell in column)]
    lines = map(SEPARATOR.join, zip(*(_column_words(column, decimal) for column in columns), strict=True))
    return Text("\n".join(lines), SPREADSHEET)


def named(sheets: Sequence[Sheet], name: str) -> Sheet:
    """The sheet of that name.

    Raises
    ------
    UnreadableCurve : there is none; names those there are
    """
    for sheet in sheets:
        if sheet.name == name:
            return sheet
    raise UnreadableCurve(f"There is no sheet {name}; choose {', '.join(sheet.name for sheet in sheets)}.")


def in_view(sheets: Sequence[Sheet]) -> list[Sheet]:
    """The sheets that are not hidden, or all where every one is."""
    return [sheet for sheet in sheets if not sheet.is_hidden] or list(sheets)


def _unsaved_words(sheet: Sheet) -> list[str]:
    if not sheet.unsaved:
        return []
    return [
        f"{counted(sheet.unsaved, 'formula')} on the sheet {sheet.name} came without a result: open the "
        "file in a spreadsheet program, save it there and send it again."
    ]


def log_among(
    sheets: Sequence[Sheet], read: Callable[[Sheet], Read], rows_of: Callable[[Read], int]
) -> ReadSheet[Read]:
    """The sheet that reads as a curve; of several the one with most rows, and that is said.

    Raises
    ------
    UnreadableCurve : none does; says why of each
    """
    able, trouble = [], []
    for sheet in in_view(sheets):
        try:
            able.append((sheet, read(sheet)))
        except UnreadableCurve as why:
            trouble.append((sheet, " ".join([str(why), *_unsaved_words(sheet)])))
    if not able:
        raise UnreadableCurve(_none_words(trouble))
    sheet, found = max(able, key=lambda one: rows_of(one[1]))
    guesses = _choice_words(sheets, sheet, [one for one, _ in able])
    return ReadSheet(sheet, found, guesses, _unsaved_words(sheet))


def _none_words(trouble: Sequence[tuple[Sheet, str]]) -> str:
    if len(trouble) == 1:
        return trouble[0][1]
    return "No sheet reads as a curve. " + " ".join(f"{sheet.name}: {why}" for sheet, why in trouble[:4])


def _choice_words(sheets: Sequence[Sheet], chosen: Sheet, able: Sequence[Sheet]) -> list[str]:
    if len(sheets) == 1:
        return []
    others = [sheet.name for sheet in able if sheet is not chosen]
    if not others:
        return [f"the sheet {chosen.name} was taken, the only one that reads as a curve"]
    return [f"the sheet {chosen.name} was taken; {', '.join(others)} would read as a curve too"]
