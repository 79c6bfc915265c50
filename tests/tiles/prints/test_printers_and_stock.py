"""Pages of printers, label stock, and part-used sheets."""

import pypdfium2
import pytest

from tests.counting import queries_of
from tests.factories import LabelStockFactory
from tests.tiles.prints.reading import size_mm, words
from tiles.models import LabelStock, Printer
from tiles.prints.printers import queries, services

MEASURED = {
    "name": "Office, upper tray",
    "measured_across_mm": "149,2",
    "measured_down_mm": "200",
    "measured_left_mm": "1 in",
    "measured_top_mm": "25",
}
SHEET = "/print/sheet/a4-3x8-63.5x33.9-mm"

pytestmark = pytest.mark.django_db


def test_a_printer_is_measured_and_what_it_does_is_said(recorder_client):
    page = recorder_client.post("/print/printers/new", MEASURED, follow=True)
    printer = Printer.objects.get()

    assert "0.5 % too narrow, 0.5 mm too far right" in page.content.decode()
    assert queries.calibration_of(printer).scale_x == pytest.approx(150 / 149.2)


def test_a_figure_that_cannot_be_is_asked_again_and_nothing_typed_is_lost(recorder_client):
    page = recorder_client.post("/print/printers/new", MEASURED | {"measured_down_mm": "150"})

    assert page.status_code == 422
    assert "Print the page again at 100 %" in page.content.decode()
    assert "149,2" in page.content.decode()


def test_who_prints_on_which_printer_is_remembered(viewer):
    printer = Printer.objects.create(
        name="Kiln room",
        measured_across_mm=150,
        measured_down_mm=200,
        measured_left_mm=26,
        measured_top_mm=25,
    )
    services.choose(viewer, str(printer.pk))
    remembered = queries.usual_printer(viewer)
    services.choose(viewer, "none")

    assert remembered == printer
    assert queries.usual_printer(viewer) is None


@pytest.mark.parametrize("said", ["9" * 30, "-1", "abc", "999999"])
def test_a_printer_that_is_not_there_corrects_nothing(viewer, said):
    assert services.choose(viewer, said) is None


def test_the_ruler_page_is_printed_on_both_papers(viewer_client):
    a4 = viewer_client.get("/print/printers/ruler.pdf?paper=A4").content
    letter = viewer_client.get("/print/printers/ruler.pdf?paper=Letter").content

    assert "Ruler page, A4" in words(a4)
    assert size_mm(letter) == pytest.approx((215.9, 279.4), abs=0.01)
    assert len(pypdfium2.PdfDocument(letter)) == 1


def test_every_stock_is_listed_in_as_many_queries_as_one(viewer_client):
    asked = queries_of(viewer_client, "/print/stock")
    for _ in range(4):
        LabelStockFactory()

    assert queries_of(viewer_client, "/print/stock") == asked


def test_numbers_that_fit_are_drawn_while_they_are_typed(viewer_client):
    typed = {
        "sheet_width_mm": "210",
        "sheet_height_mm": "297",
        "columns": "2",
        "rows": "4",
        "label_width_mm": "99,1",
        "label_height_mm": "67.7",
    }
    drawn = viewer_client.get("/print/stock/drawing", typed).content.decode()
    amiss = viewer_client.get("/print/stock/drawing", typed | {"rows": "5"}).content.decode()

    assert drawn.count('class="stock-label"') == 8
    assert "The last row ends at" in amiss
    assert "stock-label" not in amiss


def test_stock_is_copied_to_be_changed(recorder_client):
    page = recorder_client.get("/print/stock/new?like=a4-3x8-63.5x33.9-mm")

    assert page.context["form"]["label_width_mm"].value() == "63.5"
    assert LabelStock.objects.count() == 0


def test_all_labels_before_the_first_free_one_are_gone(viewer, viewer_client):
    viewer_client.post(SHEET, {"start": "4"})

    assert viewer.used_sheets.get().used == [1, 2, 3]


def test_single_labels_are_marked_as_gone(viewer, viewer_client):
    viewer_client.post(f"{SHEET}?by=one", {"gone": ["2", "9", "99", "x"]})

    assert viewer.used_sheets.get().used == [2, 9]


def test_a_sheet_nobody_knows_is_not_found(viewer_client):
    assert viewer_client.get("/print/sheet/papyrus").status_code == 404


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("address", ["/print/tray", "/print/stock", SHEET, "/print/printers/new"])
def test_no_page_has_a_barrier(open_page, recorder, barriers, address):
    page = open_page(address, recorder)

    assert barriers(page) == []
