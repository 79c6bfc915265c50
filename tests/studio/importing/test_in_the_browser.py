"""Bringing a spreadsheet in with a browser: on a phone and at a desk, with keys alone, with nothing in the way."""

import pytest

from studio.importing.queries import EXAMPLE
from studio.models import SpreadsheetImport
from tests.factories import ClayBodyFactory, GlazeFactory
from tiles.models import Outcome, Tile

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.mark.parametrize("width", [390, 1280])
def test_an_untidy_sheet_comes_in_and_goes_again(open_page, barriers, recorder, width):
    for name in ("Dune", "Cellar", "Loft"):
        ClayBodyFactory(name=name)
    for name in ("Harbour", "Flux L", "Moss Ledger"):
        GlazeFactory(name=name)
    page = open_page("/import/", recorder, width=width, bypass_csp=True)
    assert barriers(page) == []
    page.set_input_files("#id_file", EXAMPLE)
    page.get_by_role("button", name="Look at it").press("Enter")

    page.get_by_role("heading", name="2 things to mend").wait_for()
    assert barriers(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") == width
    page.get_by_label("Finish, glosy, is to read").fill("glossy")
    page.get_by_label("What's on it, Night Tide, is to read").fill("Night Tide x2")
    page.get_by_role("button", name="Read the cells so").press("Enter")
    page.get_by_role("button", name="Keep all of it").press("Enter")

    page.get_by_role("heading", name="In the logbook since").wait_for()
    assert Tile.objects.count() == 6
    assert Outcome.objects.count() == 10
    assert barriers(page) == []
    page.locator("#messages").get_by_role("button", name="Undo").press("Enter")
    page.get_by_role("heading", name="Undone").wait_for()
    assert not Tile.objects.exists()
    assert SpreadsheetImport.objects.get().state == "undone"


def test_without_scripts_it_works_the_same(open_page, recorder):
    page = open_page("/import/", recorder, java_script_enabled=False)
    page.get_by_role("radio", name="glazes").check()
    file = {"name": "glazes.csv", "mimeType": "text/csv", "buffer": b"name,kind\nHarbour,glaze\n"}
    page.set_input_files("#id_file", file)
    page.get_by_role("button", name="Look at it").click()
    page.get_by_role("button", name="Keep all of it").click()

    page.get_by_role("heading", name="In the logbook since").wait_for()
    assert SpreadsheetImport.objects.get().state == "kept"
