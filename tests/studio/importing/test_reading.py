"""Spreadsheets as people keep them become rows of text, or are refused in words."""

import csv
import io
import zipfile
from datetime import date, time, timedelta

import pytest
from hypothesis import example, given
from hypothesis import strategies as some
from openpyxl import Workbook

from studio.importing import cells, reading
from studio.importing.columns import guessed
from studio.importing.fields import RESULT_FIELDS, RESULTS
from studio.importing.headings import heading_row
from studio.importing.reading import Unreadable, read_grid

WORDS = some.text(some.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), max_size=12).map(
    lambda words: words.replace("\xa0", " ").strip()
)


def workbook(rows, merged=()):
    book = Workbook()
    for row in rows:
        book.active.append(row)
    for area in merged:
        book.active.merge_cells(area)
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def with_part(data, name, content=b"x"):
    file = io.BytesIO(data)
    with zipfile.ZipFile(file, "a") as archive:
        archive.writestr(name, content)
    return file.getvalue()


def test_merged_cells_hold_the_same_words_in_each_row():
    grid = read_grid(workbook([["a", "b"], [1, "x"], [None, "y"], [None, "z"]], ["A2:A4"]))
    assert [row[0] for row in grid.rows] == ["a", "1", "1", "1"]


@pytest.mark.parametrize("as_file", [lambda rows: "\n".join(map(";".join, rows)).encode(), workbook])
def test_the_same_words_in_many_rows_lie_in_memory_once(as_file):
    rows = read_grid(as_file([("Clay", "Cone"), *[(" Dune stoneware", "10")] * 3])).rows

    assert rows[1] == ("Dune stoneware", "10")
    assert rows[1][0] is rows[2][0] is rows[3][0]


def test_rows_are_numbered_as_the_spreadsheet_counts():
    grid = read_grid(workbook([["a"], [], [], ["b"]]))
    assert grid.numbers == [1, 4]
    assert read_grid(b"a;b\n\n;\nc;d\n").numbers == [1, 4]


def test_typed_cells_read_as_a_person_would_write_them():
    row = [date(2025, 10, 14), 6, 0.1 + 0.2, True, time(1, 30), timedelta(hours=26), "  words "]
    assert read_grid(workbook([row])).rows[0] == ("2025-10-14", "6", "0.3", "yes", "01:30", "26:00", "words")


@pytest.mark.parametrize(
    ("figure", "shown_as", "reads"),
    [(0.03, "0%", "3%"), (0.015, "0.0%", "1.5%"), (3, '0"%"', "3"), (3, "0", "3")],
)
def test_a_figure_in_percent_reads_as_its_cell_shows_it(figure, shown_as, reads):
    book = Workbook()
    book.active.append(["Absorption", figure])
    book.active["B1"].number_format = shown_as
    file = io.BytesIO()
    book.save(file)

    assert read_grid(file.getvalue()).rows == [("Absorption", reads)]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_letters_come_in_whatever_the_encoding(encoding):
    assert read_grid("Körper;½\nDüne;5½\n".encode(encoding)).rows == [("Körper", "½"), ("Düne", "5½")]


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "empty"),
        (workbook([]), "empty"),
        (b"PK\x03\x04rest", "damaged"),
        (b"%PDF-1.7", "PDF"),
        (b"\xd0\xcf\x11\xe0" + "EncryptedPackage".encode("utf-16-le"), "password"),
        (b"\xd0\xcf\x11\xe0old", "old spreadsheet"),
        (with_part(workbook([["a"]]), "xl/vbaProject.bin"), "macros"),
        (b"a,b\n" * (reading.MOST_ROWS + 1), "rows"),
    ],
    ids=["nothing", "empty book", "broken", "PDF", "password", "old", "macros", "too long"],
)
def test_what_cannot_be_read_is_refused_with_what_to_do(data, says):
    with pytest.raises(Unreadable, match=says):
        read_grid(data)


def test_a_formula_is_never_worked_out():
    data = workbook([["a", "b"], ["=1+1", "x"]])
    grid = read_grid(data)
    assert grid.rows[1][0] == ""
    assert "1 formula came without a result" in " ".join(grid.said)


@given(some.binary(max_size=400))
def test_any_bytes_are_read_or_refused_in_words(data):
    try:
        grid = read_grid(data)
    except Unreadable:
        return
    assert len(grid.rows) == len(grid.numbers)
    assert len({len(row) for row in grid.rows}) == 1


@given(
    some.lists(some.lists(WORDS, min_size=2, max_size=5), min_size=1, max_size=6), some.sampled_from(";,\t")
)
def test_csv_written_by_any_program_reads_back_equal(rows, separator):
    width = max(map(len, rows))
    table = [["title"] * width, *([*row, *[""] * (width - len(row))] for row in rows)]
    out = io.StringIO()
    csv.writer(out, delimiter=separator, quoting=csv.QUOTE_ALL).writerows(table)
    wanted = [tuple(row) for row in table if any(row)]
    found = read_grid(out.getvalue().encode())
    if not any(cell.casefold() in reading.DITTO or cell.startswith("'") for row in wanted for cell in row):
        assert found.rows == wanted


CONES = {
    "6": (30, ""),
    "06": (17, ""),
    "∆6": (30, ""),
    "^06": (17, ""),
    "5½": (29, ""),
    "5 1/2": (29, ""),
    "cone 10R": (34, "reduction"),
    "Cone 6 ox.": (30, "oxidation"),
    "c/04": (20, ""),
    "10 (red)": (34, "reduction"),
    "6.0": (30, ""),
}


@pytest.mark.parametrize(("text", "means"), CONES.items())
def test_a_cone_is_read_as_people_write_it(text, means):
    # Orders as in firings/cones/cones.csv: 06 is the 17th cone of the series, 6 the 30th.
    assert cells.cone(text) == cells.Fire(*means)


LAYERS = {
    "Flux L x2 + Harbour x3": [("Flux L", 2), ("Harbour", 3)],
    "3x Harbour": [("Harbour", 3)],
    "3 coats Harbour": [("Harbour", 3)],
    "Harbour (3 coats) over Flux L x1": [("Flux L", 1), ("Harbour", 3)],
    "Harbour × 3": [("Harbour", 3)],
    "2 x Harbour": [("Harbour", 2)],
    "Flux L under Harbour": [("Flux L", None), ("Harbour", None)],
    "Glaze 66 x2": [("Glaze 66", 2)],
}


@pytest.mark.parametrize(("text", "layers"), LAYERS.items())
def test_layers_are_read_bottom_to_top(text, layers):
    found = [(one.glaze, one.amount and one.amount.coats) for one in cells.stack(text)]
    assert found == layers


@given(
    some.dates(date(1990, 1, 1), date(2090, 1, 1)),
    some.sampled_from(["%d/%m/%Y", "%d.%m.%y", "%Y-%m-%d", "%d %b %Y", "%B %d, %Y"]),
)
def test_a_day_reads_back_whatever_its_order(day, form):
    if "y" not in form or 2000 <= day.year < 2090:
        assert cells.day(day.strftime(form), cells.DAY) == day


READS = [
    *(cells.cone, cells.day, cells.amount, cells.stack, cells.minutes),
    *(cells.length_mm, cells.degrees_c, cells.flaws, cells.yes_or_no),
]


@given(some.text(max_size=30), some.sampled_from(READS))
@example("0/0 in", cells.length_mm)
@example("²", cells.amount)
@example("99999999999999999999 h", cells.minutes)
def test_any_cell_is_read_or_refused_in_words(text, read):
    words = "read"
    try:
        read(text)
    except cells.Misread as trouble:
        words = str(trouble)
    assert len(words) > 3


def test_headings_are_found_below_titles_and_columns_by_what_they_hold():
    rows = [
        ["Notebook, 2025"],
        [],
        ["Nr", "Clay", "What", "Fired", "x"],
        [1, "Dune", "Harbour x3", "2025-01-02", "a.jpg"],
    ]
    grid = read_grid(workbook(rows))
    header = heading_row(grid, RESULT_FIELDS)
    assert grid.numbers[header] == 3
    found = guessed(grid, header, RESULTS, RESULT_FIELDS, {})
    assert [one.field for one in found] == ["", "body", "stack", "date", "photo"]
    assert found[4].why == "its cells are names of picture files"
