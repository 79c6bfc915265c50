"""Choosing, comparing in step, flicker and print, in a browser."""

import re

import pypdfium2
import pytest
from playwright.sync_api import expect

from tests.factories import (
    ClayBodyFactory,
    FiringFactory,
    GlazeFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tests.tiles.photos import corpus

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def results(stored):
    """Band 1 of eight tiles, each with a photo."""
    firing, glaze = FiringFactory(number=231, fired=True), GlazeFactory(name="Harbour")
    made = []
    for at in range(8):
        tile = glaze_tile(
            TileFactory(body=ClayBodyFactory(name=f"Body no. {at}")), (glaze, {"band 1": at + 1})
        )
        made += fired_outcomes(tile, firing)
        stored(corpus.noisy_jpeg(300, 400, seed=at), placement=made[-1].placement)
    return made


def address(results):
    return f"/results/compare/?o={','.join(str(one.pk) for one in results)}"


def test_results_are_ticked_on_two_pages_and_compared_in_step(open_page, viewer, results):
    page = open_page("/results/", viewer)
    tray = page.locator("[data-compare-tray]")
    expect(tray).to_be_hidden()
    page.locator(f"input[data-compare-name][value='{results[0].pk}']").check()
    expect(tray).to_contain_text("1 chosen")
    page.goto(results[1].tile.get_absolute_url())
    page.locator(f"input[data-compare-name][value='{results[1].pk}']").check()
    page.get_by_role("button", name="Compare 2").click()
    expect(page.get_by_role("heading", name="2 results side by side")).to_be_visible()
    views = page.locator("[data-close-up]")
    expect(views.nth(1)).to_have_attribute("data-drawn", "")
    views.nth(0).focus()
    page.keyboard.press("+")
    expect(views.nth(1)).to_have_attribute("data-close-up", "near")
    page.get_by_role("button", name="In step").click()
    views.nth(0).focus()
    page.keyboard.press("0")
    expect(views.nth(0)).to_have_attribute("data-close-up", "whole")

    expect(views.nth(1)).to_have_attribute("data-close-up", "near")


def test_two_flicker_at_the_press_of_the_space_bar(open_page, viewer, results):
    page = open_page(address(results[:3]), viewer)
    page.get_by_role("button", name="Flicker").click()
    said = page.locator(".compare-flicker output")
    expect(said).to_contain_text(results[0].tile.label)
    page.keyboard.press("Space")
    expect(said).to_contain_text(results[1].tile.label)
    page.keyboard.press("Space")
    expect(said).to_contain_text(results[0].tile.label)
    page.get_by_label("Second photo").select_option("2")
    page.get_by_role("button", name="Switch").click()

    expect(said).to_contain_text(results[2].tile.label)
    expect(page.locator("[data-front]")).to_have_count(1)


@pytest.mark.parametrize("width", [390, 1280])
def test_the_page_is_open_to_everyone_and_no_wider_than_the_window(
    open_page, viewer, results, barriers, width
):
    page = open_page(address(results[:4]), viewer, width=width, bypass_csp=True)
    page.get_by_role("button", name="Flicker").click()
    expect(page.locator(".compare-flicker")).to_be_visible()

    assert barriers(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_eight_print_on_one_sheet_lying_down(open_page, viewer, results, paper):
    page = open_page(address(results), viewer)
    expect(page.locator("[data-drawn]")).to_have_count(8)
    printed = pypdfium2.PdfDocument(page.pdf(format=paper, landscape=True))

    assert len(printed) == 1
    words = re.sub(r"\s+", " ", printed[0].get_textpage().get_text_bounded())
    assert all(one.tile.label in words for one in results)
    assert "Both" not in words
    assert "All: brushed" in words
