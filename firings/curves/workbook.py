"""A spreadsheet file as the cells of its sheets: bounded before it is unpacked; formulas are never worked out."""

import io
import re
import warnings
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from openpyxl.reader.excel import ExcelReader
from openpyxl.styles.numbers import BUILTIN_FORMATS_MAX_SIZE, builtin_format_code
from openpyxl.styles.stylesheet import apply_stylesheet

from firings.curves.sheetcells import Row, TooManyCells, Typing, read_cells
from firings.curves.text import LOCKED, UnreadableCurve

ZIP_MARK = b"PK\x03\x04"
# Bounds of what is unpacked [bytes]: all parts together, any part but a sheet, which is never held as a whole; and the
# number of parts.
LARGEST_BYTES, LARGEST_PART_BYTES = 256 * 2**20, 16 * 2**20
MOST_PARTS = 2000
# Cells of all sheets together: some 200 MB while they are read.
MOST_CELLS = 1_000_000

DAMAGED = "The spreadsheet is damaged or not all of it is here. Save the sheet as CSV and send that, or save it anew."
TOO_LARGE = (
    "The spreadsheet is too large to be read here. Save the sheet as CSV, which may have millions of rows."
)
EMPTY = "The spreadsheet is empty: none of its sheets holds a cell."


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet: its rows of cells as typed, and how many formulas came without a saved result.

    numbers : the rows' own, as the spreadsheet counts
    merged : areas of merged cells, such as A2:A5
    """

    name: str
    rows: list[Row]
    is_hidden: bool = False
    unsaved: int = 0
    numbers: list[int] = field(default_factory=list)
    merged: list[str] = field(default_factory=list)


def is_workbook(data: bytes) -> bool:
    """Whether a file is a spreadsheet, or at least an archive such as spreadsheets are."""
    return data.startswith(ZIP_MARK)


@contextmanager
def _damage_in_words() -> Iterator[None]:
    """Whatever a damaged file makes the unpacking or the library stumble over, as one sentence."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    except UnreadableCurve:
        raise
    except TooManyCells as trouble:
        raise UnreadableCurve(TOO_LARGE) from trouble
    except Exception as trouble:
        # The library promises no closed list of errors for damaged files; each of them means the same to a person.
        raise UnreadableCurve(DAMAGED) from trouble


def _refuse_foreign(archive: zipfile.ZipFile) -> None:
    """Refuse archives that are no plain spreadsheet, with what to do instead."""
    names = {name.casefold() for name in archive.namelist()}
    if any(part.flag_bits & 1 for part in archive.infolist()):
        raise UnreadableCurve(LOCKED)
    if "content.xml" in names and "mimetype" in names:
        raise UnreadableCurve(
            "This is an OpenDocument spreadsheet. Save it as .xlsx, or the sheet as CSV, and send that."
        )
    if any(name.endswith("vbaproject.bin") for name in names):
        raise UnreadableCurve("The spreadsheet carries macros. Save it as .xlsx without macros, or as CSV.")
    if "xl/workbook.bin" in names:
        raise UnreadableCurve("This is a binary spreadsheet (.xlsb). Save it as .xlsx, or the sheet as CSV.")
    if "[content_types].xml" not in names or any(name.startswith(("word/", "ppt/")) for name in names):
        raise UnreadableCurve(
            "This is an archive or a document, not a spreadsheet. Send the log itself, as .xlsx or CSV."
        )


def _refuse_too_large(archive: zipfile.ZipFile) -> None:
    """Refuse what would fill the memory, before anything is unpacked; no part unpacks to more than its entry says."""
    parts = archive.infolist()
    held = [part for part in parts if part.filename.endswith((".xml", ".rels")) and not _is_sheet(part)]
    too_large = any(part.file_size > LARGEST_PART_BYTES for part in held)
    if too_large or len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > LARGEST_BYTES:
        raise UnreadableCurve(TOO_LARGE)


def _is_sheet(part: zipfile.ZipInfo) -> bool:
    return "/worksheets/sheet" in part.filename.casefold()


def _typing_of(reader: ExcelReader) -> Typing:
    # What the library itself keeps of the formats of cells, without a public name.
    book: Any = reader.wb
    return Typing(
        reader.shared_strings,
        frozenset(book._date_formats),
        frozenset(book._timedelta_formats),
        frozenset(
            at for at, style in enumerate(book._cell_styles) if is_share(_format_of(book, style.numFmtId))
        ),
        book.epoch,
    )


def is_share(code: str) -> bool:
    """Whether a format shows a figure in percent; a sign in quotes stands behind the figure as it is.

    >>> is_share("0.0%"), is_share('0"%"'), is_share("General")
    (True, False, False)
    """
    return "%" in re.sub(r'"[^"]*"|\\.', "", code)


def _format_of(book: Any, key: int) -> str:
    own = key - BUILTIN_FORMATS_MAX_SIZE
    if own < 0:
        return str(builtin_format_code(key) or "")
    return str(book._number_formats[own]) if own < len(book._number_formats) else ""


def _opened(data: bytes) -> ExcelReader:
    """The workbook without its sheets' cells: what they are called and where they lie, shared texts and formats."""
    reader = ExcelReader(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
    _refuse_foreign(reader.archive)
    _refuse_too_large(reader.archive)
    reader.read_manifest()
    reader.read_strings()
    reader.read_workbook()
    apply_stylesheet(reader.archive, reader.wb)
    return reader


def _sheets(reader: ExcelReader, most_rows: int | None) -> Iterator[Sheet]:
    typing, spent = _typing_of(reader), 0
    for sheet, place in reader.parser.find_sheets():
        if place.target not in reader.valid_files or "chartsheet" in place.Type:
            continue
        with reader.archive.open(place.target) as file:
            cells = read_cells(file, typing, MOST_CELLS - spent, most_rows)
        spent += cells.spent
        is_hidden = sheet.state != "visible"
        yield Sheet(sheet.name, cells.rows, is_hidden, cells.unsaved, cells.numbers, cells.merged)


def sheets_of(data: bytes, most_rows: int | None = None) -> list[Sheet]:
    """All sheets of a spreadsheet file that hold cells.

    Parameters
    ----------
    most_rows : read no more rows of each, to see how they begin

    Raises
    ------
    UnreadableCurve : damaged, too large, with macros, locked or of another kind; the message says what to do
    """
    with _damage_in_words():
        reader = _opened(data)
        found = [sheet for sheet in _sheets(reader, most_rows) if sheet.rows]
    if not found:
        raise UnreadableCurve(EMPTY)
    return found
