"""Label stock described by numbers."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiles.prints.stock import A4, KNOWN, TRUE_PRINTER, Box, Calibration, Stock, centred, roll

SHEET = Stock("A4, 3 × 8", 210, 297, 3, 8, 63.5, 33.9, 7.25, 12.9, 66, 33.9, 2)


@pytest.mark.parametrize("stock", KNOWN, ids=lambda stock: stock.name)
def test_every_known_stock_lies_on_its_sheet(stock):
    assert stock.problems() == []


def test_sheets_and_rolls_of_many_sizes_are_known():
    assert len({(stock.sheet_width_mm, stock.label_width_mm, stock.label_height_mm) for stock in KNOWN}) >= 12
    assert len({stock.name for stock in KNOWN}) == len(KNOWN)


def test_labels_are_counted_along_the_rows():
    assert SHEET.cell(0) == Box(7.25, 12.9, 63.5, 33.9)
    assert SHEET.cell(4) == Box(73.25, 46.8, 63.5, 33.9)
    assert SHEET.cell(23).x_mm == pytest.approx(7.25 + 2 * 66)
    assert SHEET.cell(23).y_mm == pytest.approx(12.9 + 7 * 33.9)


@pytest.mark.parametrize("index", [-1, 24])
def test_there_is_no_label_beyond_the_sheet(index):
    with pytest.raises(IndexError, match="labels 1 to 24"):
        SHEET.cell(index)


def test_a_used_sheet_is_gone_on_with():
    places = list(SHEET.cells(3, start_cell=23))

    assert places == [(0, SHEET.cell(22)), (0, SHEET.cell(23)), (1, SHEET.cell(0))]
    assert SHEET.sheets(3, start_cell=23) == 2
    assert SHEET.sheets(24) == 1
    assert SHEET.sheets(0) == 0


@pytest.mark.parametrize(
    ("wrong", "field", "words"),
    [
        ({"columns": 4}, "columns", "ends at 268.8 mm, but the sheet is 210 mm wide"),
        ({"rows": 9}, "rows", "but the sheet is 297 mm high"),
        ({"pitch_x_mm": 60}, "pitch_x_mm", "Labels side by side overlap"),
        ({"pitch_y_mm": 20}, "pitch_y_mm", "one above the other overlap"),
        ({"label_width_mm": 0}, "label_width_mm", "more than 0 mm"),
        ({"margin_top_mm": -1}, "margin_top_mm", "not be less than 0 mm"),
        ({"rows": 0}, "rows", "at least one"),
        ({"corner_radius_mm": 20}, "corner_radius_mm", "at most, half the label"),
    ],
)
def test_numbers_that_cannot_be_are_refused_with_the_reason(wrong, field, words):
    problems = replace(SHEET, **wrong).problems()

    assert [name for name, _ in problems] == [field]
    assert words in problems[0][1]


def test_a_single_column_needs_no_pitch():
    assert replace(SHEET, columns=1, pitch_x_mm=0).problems() == []


sizes = st.floats(5, 120)


@given(st.integers(1, 12), st.integers(1, 30), sizes, sizes, st.floats(0, 5), st.floats(0, 5))
def test_accepted_labels_lie_on_the_sheet_and_apart(columns, rows, width, height, gap_x, gap_y):
    stock = centred("any", A4, (columns, rows), (width, height), (width + gap_x, height + gap_y))
    cells = [stock.cell(index) for index in range(stock.labels_per_sheet)]
    on_sheet = all(
        cell.x_mm >= -0.05 and cell.y_mm >= -0.05 and cell.right_mm <= 210.05 and cell.bottom_mm <= 297.05
        for cell in cells
    )

    assert (stock.problems() == []) == on_sheet


def test_a_roll_is_one_label_to_a_page():
    assert roll(62, 29).labels_per_sheet == 1
    assert roll(62, 29).cell(0) == Box(0, 0, 62, 29)


def test_a_printer_that_misses_is_met_half_way():
    place = Calibration(offset_x_mm=1.5, offset_y_mm=-0.5, scale_x=1.01).place(Box(100, 50, 60, 30))

    assert place == Box(pytest.approx(102.5), 49.5, pytest.approx(60.6), 30)
    assert TRUE_PRINTER.place(Box(1, 2, 3, 4)) == Box(1, 2, 3, 4)
