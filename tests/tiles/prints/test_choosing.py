"""Choosing what to print in a real browser, with scripts and without."""

import re
from pathlib import Path

import pytest

from tests.factories import (
    ClayBodyFactory,
    FiringFactory,
    GlazeFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.models import LabelStock

AXE = Path(__file__).resolve().parents[2] / "vendor" / "axe" / "axe.min.js"
LABELS = "/print/?firing=231&kind=labels&stock=a4-3x8-63.5x33.9-mm"

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def firing_of_five(transactional_db):
    """Firing F-0231 with five tiles."""
    firing, body, glaze = FiringFactory(number=231, fired=True), ClayBodyFactory(name="Dune"), GlazeFactory()
    for number in range(1042, 1047):
        fired_outcomes(glaze_tile(TileFactory(number=number, body=body), (glaze, {"band 1": 2})), firing)
    return firing


def state_of(page, number: int) -> str:
    label = page.locator(".sheet-cell", has_text=re.compile(rf"^\s*{number}\s*$"))
    return re.search(r"sheet-cell--(\w+)", label.get_attribute("class"))[1]


def test_the_first_free_label_is_tapped_on_the_sheet(open_page, recorder, firing_of_five):
    page = open_page(LABELS, recorder)
    page.locator(".sheet-cell", has_text=re.compile(r"^\s*21\s*$")).click()
    page.wait_for_selector(".sheet-cell--used")

    assert [state_of(page, number) for number in (1, 20, 21, 24)] == ["used", "used", "printed", "printed"]
    assert "start=21" in page.url
    assert "5 labels on 2 sheets" in page.inner_text("#outlook")
    assert page.evaluate("document.activeElement.id") == "start-21"


def test_the_sheet_is_walked_with_the_arrow_keys(open_page, recorder, firing_of_five):
    page = open_page(LABELS, recorder)
    page.locator("#start-1").focus()
    page.keyboard.press("ArrowRight")
    page.wait_for_selector(".sheet-cell--used")

    assert "start=2" in page.url
    assert page.evaluate("document.activeElement.id") == "start-2"


def test_without_scripts_the_chosen_label_goes_into_the_pdf(open_page, recorder, firing_of_five):
    page = open_page(LABELS, recorder, java_script_enabled=False)
    page.locator("#start-5").check(force=True)
    page.get_by_role("button", name="Show what this comes to").click()

    assert "start=5" in page.url
    assert state_of(page, 4) == "used"
    assert page.locator("#start-5").is_checked()


def test_cards_and_labels_each_ask_their_own(open_page, recorder, firing_of_five):
    page = open_page(LABELS, recorder)
    assert page.get_by_role("button", name="Open the labels").is_visible()
    page.get_by_role("radio", name="cards").check()
    page.locator("#outlook h2", has_text="5 cards on 2 pages").wait_for()

    assert page.get_by_role("button", name="Open the cards").is_visible()
    assert not page.get_by_role("button", name="Open the labels").is_visible()
    assert page.get_by_text("Card size").is_visible()
    assert not page.get_by_label("Label sheet or roll").is_visible()


def test_stock_of_one_s_own_is_written_down_without_leaving_the_page(open_page, recorder, firing_of_five):
    page = open_page(LABELS, recorder)
    page.get_by_role("link", name="Own size").click()
    dialog = page.locator("#dialog")
    numbers = {
        "name": "Strips",
        "sheet_width_mm": "210",
        "sheet_height_mm": "297",
        "columns": "3",
        "rows": "5",
    }
    for name, typed in (numbers | {"label_width_mm": "90", "label_height_mm": "2 in"}).items():
        dialog.locator(f"[name={name}]").fill(typed)
    dialog.get_by_role("button", name="Keep").click()
    dialog.get_by_text("the sheet is 210 mm wide").wait_for()
    dialog.locator("[name=columns]").fill("2")
    dialog.get_by_role("button", name="Keep").click()
    page.get_by_role("link", name="Change the numbers of Strips").wait_for()

    assert page.locator(".sheet-cell").count() == 10
    assert page.get_by_label("Label sheet or roll").input_value() == f"own-{LabelStock.objects.get().pk}"


def test_the_labels_open_as_a_pdf(open_page, recorder, firing_of_five):
    page = open_page(LABELS, recorder)
    form = page.locator("#print")
    address = page.get_by_role("button", name="Open the labels").get_attribute("formaction")
    query = form.evaluate("form => new URLSearchParams(new FormData(form)).toString()")
    answer = page.request.get(f"{address}?{query}")

    assert answer.status == 200
    assert answer.body().startswith(b"%PDF")


@pytest.mark.parametrize(("width", "theme"), [(390, "dark"), (1280, "light")])
@pytest.mark.parametrize("address", [LABELS, "/print/?firing=231", "/print/", "/print/stock/new"])
def test_the_page_is_for_everyone(open_page, recorder, firing_of_five, address, width, theme):
    page = open_page(address, recorder, width=width, color_scheme=theme, bypass_csp=True)
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate("axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa']})")

    assert [(rule["id"], rule["nodes"][0]["html"][:120]) for rule in found["violations"]] == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
