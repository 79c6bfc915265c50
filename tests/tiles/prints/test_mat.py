"""The photo mat on paper: real millimetres, codes that are read, no colour, and its page."""

import numpy as np
import pypdfium2
import pytest
import zxingcpp
from django.urls import reverse

from tests.factories import TileFormFactory
from tests.tiles.prints.reading import as_printed, ink_mm, rendered, size_mm, words
from tiles.photos.mat_sheet import CORNERS, SHEETS
from tiles.prints.mat import Outline, largest_that_fits, lay_out, no_room, print_mat
from tiles.prints.stock import Box, Calibration

ALL_SHEETS = pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS)
STRIP = Outline("Strip", 50, 140)
TILE = Outline("Board tile", 66, 112)
PLATE = Outline("Plate", 160, 210)
DPI = 600


def around(box: Box, by_mm: float = 2.0) -> tuple[float, float, float, float]:
    return box.x_mm - by_mm, box.y_mm - by_mm, box.right_mm + by_mm, box.bottom_mm + by_mm


def edges(box: Box) -> tuple[float, float, float, float]:
    return box.x_mm, box.y_mm, box.right_mm, box.bottom_mm


@ALL_SHEETS
def test_every_part_lies_within_a_tenth_of_a_millimetre(sheet):
    pixels = rendered(print_mat(sheet, TILE).pdf, DPI)

    for corner in CORNERS:
        box = sheet.code(corner)
        assert ink_mm(pixels, DPI, around(box)) == pytest.approx(edges(box), abs=0.1)
    # An outline's line is 0.14 mm wide and lies half outside.
    assert ink_mm(pixels, DPI, around(sheet.square, 1)) == pytest.approx(edges(sheet.square), abs=0.1)
    left, top, *_ = ink_mm(pixels, DPI, around(Box(*sheet.tile_mark, 9, 9), 1))
    # The mark's line is 0.56 mm wide, its middle on the tile's edge.
    assert (left + 0.28, top + 0.28) == pytest.approx(sheet.tile_mark, abs=0.1)


@ALL_SHEETS
def test_the_rulers_are_as_long_as_they_say(sheet):
    pixels = rendered(print_mat(sheet, TILE).pdf, DPI)
    down, across = sheet.ruler_down, sheet.ruler_across
    strokes_down = Box(down.x_mm, down.y_mm, 1.4, down.height_mm)
    strokes_across = Box(across.x_mm, across.y_mm, across.width_mm, 1.4)

    _, top, _, bottom = ink_mm(pixels, DPI, around(strokes_down, 0.3))
    left, _, right, _ = ink_mm(pixels, DPI, around(strokes_across, 0.3))
    # Between the middles of the first and the last stroke, each 0.18 mm wide.
    assert bottom - top - 0.18 == pytest.approx(down.height_mm, abs=0.1)
    assert right - left - 0.18 == pytest.approx(across.width_mm, abs=0.1)


@ALL_SHEETS
@pytest.mark.parametrize("dpi", [203, 300])
def test_all_four_codes_are_read_as_printed(sheet, dpi):
    pixels = as_printed(rendered(print_mat(sheet, TILE).pdf, dpi))

    read = zxingcpp.read_barcodes(pixels, zxingcpp.BarcodeFormat.QRCode)

    assert sorted(code.text for code in read) == sorted(sheet.content(corner) for corner in CORNERS)


@ALL_SHEETS
def test_the_mat_is_one_page_of_its_size_in_black_and_grey(sheet):
    printed = print_mat(sheet, TILE)
    page = pypdfium2.PdfDocument(printed.pdf)[0].render(scale=1).to_numpy()

    assert (printed.pages, printed.notes) == (1, ())
    assert size_mm(printed.pdf) == pytest.approx((sheet.width_mm, sheet.height_mm), abs=0.01)
    assert np.ptp(page.astype(int), axis=-1).max() == 0


@ALL_SHEETS
def test_what_must_be_known_beside_it_stands_on_it(sheet):
    printed = words(print_mat(sheet, TILE).pdf)

    for said in (
        "Print at 100 %",
        "no colour reference",
        "cool to the hand",
        "Board tile, 66 × 112 mm",
        "Grey card",
    ):
        assert said in printed


def test_a_printer_that_misses_is_made_up_for():
    sheet = SHEETS["A4"]
    stretched = rendered(print_mat(sheet, None, Calibration(scale_x=1.01, scale_y=1.01)).pdf, DPI)

    left, top, right, bottom = ink_mm(stretched, DPI, around(sheet.square, 3))
    assert (right - left, bottom - top) == pytest.approx((50.5 + 0.14, 50.5 + 0.14), abs=0.1)


def test_the_largest_form_with_room_is_outlined():
    assert largest_that_fits([STRIP, TILE, PLATE], SHEETS["A4"]) == TILE
    assert largest_that_fits([STRIP, TILE, PLATE], SHEETS["A3"]) == PLATE
    assert largest_that_fits([PLATE], SHEETS["LT"]) is None


def test_a_tile_without_room_is_refused_with_what_to_do():
    assert "Take a larger sheet" in no_room(SHEETS["A4"], PLATE)
    with pytest.raises(ValueError, match="160 × 210 mm, and A4 has room for 94 × 142 mm"):
        lay_out(SHEETS["A4"], PLATE)


def test_the_page_offers_the_studios_paper_and_the_largest_form(viewer_client, db):
    TileFormFactory(name="Board tile", width_mm=66, height_mm=112)

    page = viewer_client.get(reverse("tiles:prints:mat")).content.decode().replace("\xa0", " ")

    assert "Photo mat · A4" in page
    assert "Board tile, 66 × 112 mm" in page
    assert "No flash" in page


def test_the_mat_opens_as_a_pdf(viewer_client, db):
    answer = viewer_client.get(reverse("tiles:prints:mat_pdf"), {"sheet": "LT"})

    assert answer.headers["Content-Type"] == "application/pdf"
    assert size_mm(answer.content) == pytest.approx((215.9, 279.4), abs=0.01)


def test_a_form_that_has_no_room_is_pointed_out(viewer_client, db):
    plate = TileFormFactory(name="Plate", width_mm=160, height_mm=210)

    for name in ("mat", "mat_pdf"):
        answer = viewer_client.get(reverse(f"tiles:prints:{name}"), {"sheet": "A4", "tile": plate.pk})
        assert answer.status_code == 422
        assert "Take a larger sheet" in answer.content.decode()


def test_a_sheet_that_does_not_exist_is_refused(viewer_client, db):
    assert viewer_client.get(reverse("tiles:prints:mat"), {"sheet": "A9"}).status_code == 422
    assert viewer_client.get(reverse("tiles:prints:mat"), {"tile": "99999"}).status_code == 422
