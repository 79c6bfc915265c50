"""Searching in a real browser, at a desk and on a phone."""

import pytest
from playwright.sync_api import Page, expect

from tests.factories import (
    ClayBodyFactory,
    FiringFactory,
    GlazeFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def studio() -> None:
    dune, peat = ClayBodyFactory(name="Dune"), ClayBodyFactory(name="Peat")
    harbour, moss = GlazeFactory(name="Harbour"), GlazeFactory(name="Moss")
    for glaze, body, coats in ((harbour, dune, 1), (harbour, dune, 2), (harbour, peat, 3), (moss, peat, 2)):
        fired_outcomes(
            glaze_tile(TileFactory(body=body), (glaze, {"band 1": coats})), FiringFactory(fired=True)
        )


def choice(page: Page, words: str):
    return page.locator(".facet-choice", has_text=words).first


def count(page: Page):
    return page.locator(".found-count strong")


def test_ticking_a_choice_finds_counts_anew_and_keeps_what_was_unfolded(open_page, viewer, studio):
    page: Page = open_page("/results/", viewer)
    page.locator("#facet-method summary").click()
    choice(page, "Harbour").locator("input").check()

    expect(count(page)).to_have_text("3 results")
    expect(choice(page, "Peat").locator(".facet-count")).to_have_text("1")
    expect(page.locator("#facet-method")).to_have_attribute("open", "")
    assert page.url.endswith(f"/results/?{page.url.split('?')[1]}")
    assert "glaze=" in page.url

    page.go_back()
    expect(count(page)).to_have_text("4 results")
    page.go_forward()
    expect(count(page)).to_have_text("3 results")
    page.reload()
    expect(count(page)).to_have_text("3 results")


def test_typing_finds_as_one_types_and_keeps_the_place_in_the_words(open_page, viewer, studio):
    page: Page = open_page("/results/", viewer)
    page.locator("#search-q").press_sequentially("moss")

    expect(count(page)).to_have_text("1 result")
    expect(page.locator("#search-q")).to_be_focused()
    expect(page.locator("#search-q")).to_have_value("moss")


def test_a_chip_lifts_its_filter(open_page, viewer, studio):
    page: Page = open_page("/results/?q=harbour&coats=2", viewer)
    expect(count(page)).to_have_text("1 result")
    page.get_by_role("link", name="2 coats lift").click()

    expect(count(page)).to_have_text("3 results")
    assert page.url.endswith("/results/?q=harbour")


def test_on_a_phone_the_drawer_stays_open_while_one_chooses(open_page, viewer, studio):
    page: Page = open_page("/results/", viewer, width=390, height=844)
    page.get_by_role("button", name="Filters").click()
    choice(page, "Harbour").click()
    choice(page, "Dune").click()

    expect(page.locator("#search-show")).to_have_text("Show 2 results")
    page.locator(".facets-foot button").click()
    expect(page.locator("#facets")).not_to_be_visible()
    expect(count(page)).to_have_text("2 results")


def test_a_cone_there_is_none_of_is_said_beside_the_field(open_page, viewer, studio):
    page: Page = open_page("/results/", viewer)
    page.locator("#typed-cone").fill("5x")
    page.locator("#typed-cone").press("Enter")

    expect(page.locator("#problem-cone")).to_contain_text("is not a cone")
    expect(page.locator("#typed-cone")).to_have_value("5x")


def test_without_scripts_the_form_finds_the_same(open_page, viewer, studio):
    page: Page = open_page("/results/", viewer, java_script_enabled=False)
    page.locator("#search-q").fill("moss")
    page.get_by_role("button", name="Search").click()

    expect(count(page)).to_have_text("1 result")
    assert page.url.endswith("/results/?q=moss")


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_bars_anyone_from_the_results(open_page, viewer, studio, barriers, width, scheme):
    for address in (
        "/results/",
        "/results/?view=list&coats=2",
        "/results/?q=zzz&coats=2",
        "/results/?cone=5x",
    ):
        page = open_page(address, viewer, width=width, color_scheme=scheme, bypass_csp=True)
        # A page with a fault opens at it, so that something else lies half under the bar at the top.
        page.evaluate("window.scrollTo(0, 0)")
        assert barriers(page) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width
