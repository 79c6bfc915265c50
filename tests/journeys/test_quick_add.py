"""Nobody leaves a form half filled: what is missing from a list is added over the page, and stands chosen."""

import time

import pytest
from playwright.sync_api import Page, expect

from firings.models import Kiln
from tests.factories import ClayBodyFactory, TileFormFactory
from tiles.models import FormZone

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def add(page: Page, opener: str, **typed: str) -> None:
    """Open the small form, fill it, keep it."""
    page.get_by_role("link", name=opener, exact=True).first.click()
    dialog = page.get_by_role("dialog")
    for label, words in typed.items():
        dialog.get_by_label(label.replace("_", " "), exact=False).first.fill(words)
    dialog.get_by_role("button", name="Keep").click()
    expect(dialog).to_be_hidden()


@pytest.mark.parametrize("width", [390, 1280], ids=["phone", "desk"])
def test_what_a_tile_needs_is_added_over_the_page(open_page, recorder, width):
    ClayBodyFactory(name="Chalk")
    TileFormFactory(name="Three bands")
    page: Page = open_page("/tiles/new/", recorder, width=width)
    page.get_by_label("Body lot").fill("L-07")

    add(page, "A new clay body", Name="Dune")
    add(page, "A new series", Name="Harbour by cone")
    add(page, "A new glaze", Name="Harbour")
    add(page, "A new tile form", Name="Long strip", Height="160")

    expect(page.get_by_role("combobox", name="Clay body").locator("option:checked")).to_have_text("Dune")
    expect(page.get_by_role("combobox", name="Series").locator("option:checked")).to_have_text(
        "Harbour by cone"
    )
    expect(page.get_by_label("Form", exact=True).locator("option:checked")).to_have_text("Long strip")
    expect(page.get_by_label("Body lot")).to_have_value("L-07")
    glaze = page.get_by_label("Glaze of this layer").first
    expect(glaze.locator("option:checked")).to_have_text("Harbour")
    assert FormZone.objects.filter(form__name="Long strip").count() == 5


def test_a_kiln_is_added_from_the_plan_of_a_firing(open_page, recorder):
    page: Page = open_page("/firings/new/", recorder)
    page.get_by_label("Target cone").fill("6")

    add(page, "New", Name="Oriel", Shelves="4")

    expect(page.get_by_role("combobox", name="Kiln").locator("option:checked")).to_have_text("Oriel")
    expect(page.get_by_label("Target cone")).to_have_value("6")
    assert Kiln.objects.get().shelves.count() == 4


def test_a_slip_in_the_small_form_is_said_there(open_page, recorder):
    ClayBodyFactory(name="Chalk")
    TileFormFactory()
    page: Page = open_page("/tiles/new/", recorder)
    page.get_by_role("link", name="A new clay body").click()
    dialog = page.get_by_role("dialog")
    dialog.get_by_label("Name").fill("CHALK")
    dialog.get_by_role("button", name="Keep").click()

    expect(dialog).to_contain_text("There is one of this name already")
    expect(dialog.get_by_label("Name")).to_have_value("CHALK")


def test_nothing_typed_is_lost_while_another_form_is_on_its_way(open_page, recorder):
    ClayBodyFactory(name="Chalk")
    TileFormFactory(name="Three bands")
    TileFormFactory(name="Long strip")
    page: Page = open_page("/tiles/new/", recorder)

    def slowly(route):
        if route.request.headers.get("hx-request"):
            time.sleep(1.5)
        route.continue_()

    page.route("**/tiles/new/", slowly)
    page.get_by_label("Form", exact=True).select_option(label="Long strip")
    page.locator("[data-coats='band 1']").first.fill("2")
    page.get_by_role("button", name="Layer on top").click()

    expect(page.locator("[data-layer]")).to_have_count(2)
    expect(page.locator("[data-coats='band 1']").last).to_have_value("2")
