"""Pictures of prints on the screen."""

import re

import numpy as np
import pytest

from tiles.prints import codes
from tiles.prints.labels import LabelFacts, lay_out
from tiles.prints.marks import Words
from tiles.prints.picture import LEAST_CELL_PX, CellState, drawing_of, sheet_picture
from tiles.prints.stock import KNOWN, roll

BRIEF = LabelFacts("1042-9", "Harbour ×3", "Dune · cone 6, oxidation", "http://192.168.178.123:8000")
SHEETS = [stock for stock in KNOWN if stock.labels_per_sheet > 1]


def test_a_part_used_sheet_shows_what_is_gone_what_is_printed_and_what_stays():
    sheet = sheet_picture(SHEETS[0], start_cell=5, count=3)
    states = [cell.state for cell in sheet.cells]

    assert states == [CellState.USED] * 4 + [CellState.PRINTED] * 3 + [CellState.FREE] * 17
    assert [cell.number for cell in sheet.cells if cell.is_first] == [5]


@pytest.mark.parametrize("stock", SHEETS, ids=lambda stock: stock.name)
def test_every_label_on_the_screen_is_large_enough_to_tap(stock):
    sheet = sheet_picture(stock, 1, 1)
    px_per_mm = sheet.width_px / sheet.width_mm

    assert min(stock.label_height_mm, stock.label_width_mm) * px_per_mm >= LEAST_CELL_PX - 0.5


def test_the_drawing_says_what_the_paper_says():
    layout = lay_out(BRIEF, roll(62, 29))
    drawing = drawing_of(layout)

    assert [shape.text for shape in drawing.shapes if shape.kind == "words"] == [
        mark.text for mark in layout.marks if isinstance(mark, Words)
    ]


def test_the_code_on_the_screen_is_the_code_on_the_paper():
    (code,) = (shape for shape in drawing_of(lay_out(BRIEF, roll(62, 29))).shapes if shape.kind == "code")
    symbol = codes.symbol(codes.tile_address(BRIEF.address, BRIEF.number))
    runs = [tuple(map(int, run)) for run in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\d+z", code.text)]

    assert [(x - 4, y - 4, length) for x, y, length in runs] == list(symbol.runs)
    assert float(code.size) * symbol.modules_with_quiet == pytest.approx(21.08, abs=0.01)
    assert np.sum([length for _, _, length in runs]) > 0
