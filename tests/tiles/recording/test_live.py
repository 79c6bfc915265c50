"""The glazing page in a real browser: drawings that follow, keys, steppers, drafts, numbers checked as typed."""

import re
from pathlib import Path

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from tests.factories import (
    ClayBodyFactory,
    GlazeBatchFactory,
    GlazeFactory,
    TileFactory,
    TileFormFactory,
    glaze_tile,
)
from tiles.models import Tile

pytestmark = pytest.mark.browser

NEW = reverse("tiles:recording:new")
LAYER = "tbody[data-layer]"
# Everything of the drawings that depends on what is typed.
DRAWN = """() => [
    ...document.querySelectorAll('[data-slabs] path, [data-patch] rect, [data-patch] text, [data-clay]'),
].map(shape => {
    const figures = [...shape.attributes].map(({ name, value }) => `${name}=${value}`).sort().join(' ');
    return `${figures} ${shape.textContent.trim()}`;
})"""
AXE = Path(__file__).resolve().parents[2] / "vendor" / "axe" / "axe.min.js"


@pytest.fixture
def studio(transactional_db):
    TileFormFactory(name="Board tile")
    ClayBodyFactory(name="Dune speckled", swatch="#d9c8a8", speckled=True)
    ClayBodyFactory(name="Peat dark", swatch="#5a4638")
    harbour = GlazeFactory(name="Harbour", swatch="#3a6a86", coats_low=2, coats_high=3)
    GlazeFactory(name="Flux L", swatch="#cfc7b4")
    GlazeBatchFactory(glaze=harbour, lot="24-118", specific_gravity="1.460")


@pytest.fixture
def page(studio, open_page, recorder):
    return open_page(NEW, recorder)


def fill(page, glaze, coats, *, method="brush", body="Dune speckled"):
    """Choose and type in the top layer."""
    top = page.locator(LAYER).first
    page.select_option("[name=body]", label=body)
    top.locator("[data-glaze]").select_option(label=glaze)
    top.locator("[data-method]").select_option(method)
    for zone, amount in coats.items():
        top.locator(f'[data-coats="{zone}"]').fill(amount)


def labels(page):
    return page.locator("svg[data-column]").evaluate_all(
        "all => all.map(svg => svg.getAttribute('aria-label'))"
    )


def words_and_figures(drawn):
    """What shapes say, and their figures apart; colours count as words."""
    drawn = " ".join(drawn)
    figure = r"-?\d+(?:\.\d+)?"
    colours = re.findall(r"#[\da-f]{6}", drawn)
    bare = re.sub(r"#[\da-f]{6}", "#", drawn)
    return (colours, re.sub(figure, "", bare)), [float(each) for each in re.findall(figure, bare)]


def test_the_drawing_follows_what_is_typed(page):
    fill(page, "Harbour", {"band 1": "1", "band 3": "×3"})
    expect(page.locator('[data-column="band 3"]')).to_have_attribute("aria-label", "band 3: Harbour ×3")

    assert labels(page) == [
        "band 1: Harbour ×1",
        "band 2: bare clay",
        "band 3: Harbour ×3",
        "texture: bare clay",
        "back: bare clay",
    ]


def test_browser_and_server_draw_the_same(page):
    fill(page, "Flux L", {"band 1": "1", "texture": "2", "back": "12"})
    page.click(".coatgrid-add")
    fill(page, "Harbour", {"band 1": "3", "texture": "2", "back": "4"}, method="spray", body="Peat dark")
    page.click(".coatgrid-add")
    fill(page, "Flux L", {"band 2": "2,5 s", "texture": "40"}, method="dip", body="Peat dark")
    page.wait_for_timeout(200)
    by_browser = page.evaluate(DRAWN)
    page.evaluate(
        "document.querySelector('.coatgrid-add').closest('form').querySelector('[name=page]').value = 'x'"
    )
    page.route("**/*.js", lambda route: route.abort())
    with page.expect_navigation():
        page.evaluate(
            """() => {
                const show = Object.assign(document.createElement('input'), { name: 'do', value: 'show' });
                document.getElementById('sheet').append(show);
                document.getElementById('sheet').submit();
            }"""
        )
    by_server = page.evaluate(DRAWN)

    assert len(by_server) > 20
    said_by_browser, figures_by_browser = words_and_figures(by_browser)
    said_by_server, figures_by_server = words_and_figures(by_server)
    assert said_by_browser == said_by_server
    # Both round to hundredths, a half to different sides.
    assert figures_by_browser == pytest.approx(figures_by_server, abs=0.011)


def test_arrow_keys_move_from_cell_to_cell_and_digits_type(page):
    fill(page, "Harbour", {})
    page.click(".coatgrid-add")
    page.locator(LAYER).first.locator("[data-coats]").first.focus()
    for key in ("1", "ArrowRight", "2", "ArrowDown", "5", "ArrowLeft", "6", "Enter", "7", "ArrowUp"):
        page.keyboard.press(key)
    cells = page.locator("[data-coats]").evaluate_all("all => all.map(cell => cell.value)")

    assert cells == ["1", "2", "", "", "", "6", "7", "", "", ""]
    assert page.evaluate("document.activeElement.dataset.coats") == "band 2"
    assert not Tile.objects.exists()


def test_a_layer_is_moved_and_taken_out_by_keys(page):
    fill(page, "Flux L", {"back": "1"})
    page.click(".coatgrid-add")
    fill(page, "Harbour", {"back": "2"})
    page.keyboard.press("Alt+ArrowDown")
    page.wait_for_timeout(100)
    assert labels(page)[-1] == "back: Harbour ×2 + Flux L ×1"

    page.locator(LAYER).first.get_by_role("button", name="Take the layer out").press("Enter")
    page.wait_for_timeout(100)
    assert labels(page)[-1] == "back: Harbour ×2"


def test_a_chosen_glaze_brings_its_lots_and_its_label(page):
    fill(page, "Harbour", {})
    top = page.locator(LAYER).first
    top.locator("[data-lot]").select_option(label="24-118")

    assert top.locator("[data-label-coats]").text_content() == "label: 2 to 3 coats"
    assert top.locator("[data-gravity]").get_attribute("placeholder") == "1.46"
    top.locator("[data-glaze]").select_option(label="Flux L")
    assert top.locator("[data-lot] option").all_text_contents() == ["none"]


def test_steppers_count_coats_on_a_phone(studio, open_page, recorder):
    page = open_page(NEW, recorder, width=390)
    more = page.get_by_role("button", name="one coat more, band 2")
    box = more.bounding_box()
    more.click()
    more.click()
    page.get_by_role("button", name="one coat less, band 2").click()

    assert min(box["width"], box["height"]) >= 44
    assert page.input_value('[data-coats="band 2"]') == "1"
    assert page.evaluate("document.documentElement.scrollWidth") == 390


def test_another_form_keeps_what_both_have(page):
    TileFormFactory(name="Small bowl", zones=())
    page.reload()
    fill(page, "Harbour", {"band 1": "2"})
    page.select_option("[name=form]", label="Board tile")

    assert page.input_value('[data-coats="band 1"]') == "2"


def test_forty_tiles_from_one_pattern(page):
    fill(page, "Harbour", {"band 1": "1", "back": "3"})
    page.fill("[name=copies]", "20")
    for choice in ("the body", "Dune speckled", "Peat dark"):
        page.get_by_label(choice, exact=True).check()
    page.get_by_text("40 tiles with these numbers").wait_for()
    page.get_by_role("button", name="Keep 40 tiles").click()
    page.get_by_role("heading", name="40 tiles kept").wait_for()

    assert Tile.objects.count() == 40


def test_a_draft_survives_a_closed_browser(page, recorder):
    fill(page, "Harbour", {"band 1": "1", "back": "3"})
    page.click(".coatgrid-add")
    fill(page, "Flux L", {"band 2": "2"})
    page.fill("[name=body_lot]", "D-12")
    page.wait_for_timeout(600)
    page.goto("about:blank")
    page.goto(NEW)
    offer = page.locator("[data-draft-offer]")
    assert re.search(r"Draft from \d\d:\d\d", offer.text_content())

    offer.get_by_role("button", name="Take it up").click()
    page.wait_for_load_state()
    page.wait_for_timeout(100)
    assert labels(page)[:2] == ["band 1: Harbour ×1", "band 2: Flux L ×2"]
    assert page.input_value("[name=body_lot]") == "D-12"
    assert not page.locator("[data-draft-offer]").is_visible()


def test_a_draft_is_not_offered_once_recorded_or_dropped(page):
    fill(page, "Harbour", {"band 1": "1"})
    page.wait_for_timeout(600)
    page.get_by_role("button", name="Keep the tile").click()
    page.wait_for_url("**/tiles/1001-9/")
    page.goto(NEW)
    assert not page.locator("[data-draft-offer]").is_visible()

    page.fill("[name=body_lot]", "D-12")
    page.wait_for_timeout(600)
    page.goto(NEW)
    page.get_by_role("button", name="Drop it").click()
    page.goto(NEW)
    assert not page.locator("[data-draft-offer]").is_visible()


def test_a_number_is_checked_against_the_log_as_it_is_typed(page):
    TileFactory(number=1042)
    box = page.locator("[name=numbers]")
    box.fill("1024-9")
    assert "two are swapped" in page.locator("[data-tile-number-says]").text_content()

    box.fill("1042-9")
    page.get_by_text("There is a tile 1042-9 already.").wait_for()
    box.fill("1043-2")
    page.wait_for_timeout(200)
    assert not page.locator("[data-tile-number-says]").is_visible()


def test_a_glaze_that_is_not_in_the_list_is_added_on_the_way(page):
    fill(page, "Harbour", {"band 1": "2"})
    page.locator(LAYER).first.get_by_role("link", name="A new glaze").click()
    dialog = page.locator("#dialog")
    dialog.locator("[name=name]").fill("Rutile fall")
    dialog.get_by_role("button", name="Keep").click()

    expect(page.locator('[data-column="band 1"]')).to_have_attribute("aria-label", "band 1: Rutile fall ×2")


def test_the_page_works_without_scripts(studio, open_page, recorder):
    page = open_page(NEW, recorder, java_script_enabled=False)
    page.select_option("[name=body]", label="Dune speckled")
    page.select_option("[data-glaze]", label="Flux L")
    page.fill('[data-coats="texture"]', "1")
    page.get_by_role("button", name="Layer on top").click()
    page.locator("[data-glaze]").first.select_option(label="Harbour")
    page.locator('[data-coats="texture"]').first.fill("2")
    page.get_by_role("button", name="Keep the tile").click()
    stack = Tile.objects.get().layers.order_by("position")

    assert [layer.glaze.name for layer in stack] == ["Flux L", "Harbour"]


def test_nothing_on_the_page_is_out_of_reach(page, recorder):
    tile = glaze_tile(TileFactory(), (GlazeFactory(), {"back": 1}))
    page.goto(reverse("tiles:recording:edit", args=[tile.label]))
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate("axe.run({runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa']})")

    assert [(each["id"], each["nodes"][0]["html"]) for each in found["violations"]] == []
