"""The mat's geometry as its codes tell it, and that nothing on it is in the way of anything else."""

from itertools import combinations

import numpy as np
import pytest

from tests.tiles.prints.reading import rendered
from tiles.photos import mat_sheet
from tiles.photos.mat_sheet import CORNERS, SHEETS, MatSheet
from tiles.prints.mat import Outline, print_mat
from tiles.prints.stock import Box

ALL_SHEETS = pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS)


def places(sheet: MatSheet) -> list[Box]:
    codes = [sheet.code(corner).inset(-4 * sheet.module_mm + 1) for corner in CORNERS]
    fields = [sheet.tile_field, sheet.square, sheet.grey_card, sheet.chart]
    return [*codes, *fields, sheet.ruler_down, sheet.ruler_across, sheet.words]


def overlap(one: Box, other: Box) -> bool:
    return (
        one.x_mm < other.right_mm - 0.01
        and other.x_mm < one.right_mm - 0.01
        and one.y_mm < other.bottom_mm - 0.01
        and other.y_mm < one.bottom_mm - 0.01
    )


@ALL_SHEETS
def test_every_code_says_its_sheet_and_corner(sheet):
    for corner in CORNERS:
        assert mat_sheet.read(sheet.content(corner)) == (sheet, corner)


def test_other_codes_are_not_the_mats():
    for content in ("1042-9", "MAT1-A5-UL", "MAT2-A4-UL", "HTTP://A.EXAMPLE/MAT1-A4-UL", ""):
        assert mat_sheet.read(content) is None


@ALL_SHEETS
def test_nothing_on_the_mat_lies_on_anything_else(sheet):
    for one, other in combinations(places(sheet), 2):
        assert not overlap(one, other), (one, other)


@ALL_SHEETS
def test_all_of_it_is_where_common_printers_print(sheet):
    # Common practice, no source: up to 6.4 mm along the edges may stay white.
    for corner in CORNERS:
        box = sheet.code(corner)
        assert min(box.x_mm, box.y_mm, sheet.width_mm - box.right_mm, sheet.height_mm - box.bottom_mm) >= 6.4


@ALL_SHEETS
def test_the_usual_tiles_have_room(sheet):
    assert all(sheet.holds(*size) for size in ((66, 112), (54, 118), (50, 140)))
    assert not sheet.holds(200, 140)


@ALL_SHEETS
def test_the_light_is_read_on_blank_paper_only(sheet):
    field = sheet.tile_field
    printed = rendered(print_mat(sheet, Outline("Largest", field.width_mm, field.height_mm)).pdf, 100)
    spots = np.array(list(sheet.blank_spots())) / 25.4 * 100
    # A millimetre around each spot.
    for dx, dy in ((0, 0), (4, 0), (-4, 0), (0, 4), (0, -4)):
        seen = printed[(spots[:, 1] + dy).astype(int), (spots[:, 0] + dx).astype(int)]
        assert (seen == 255).all()
    assert len(spots) > 300
