"""A tile's page, the list and the history in a real browser."""

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from tests.factories import (
    FiringFactory,
    GlazeFactory,
    SeriesFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.models import Flaw, Outcome

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def tile():
    series = SeriesFactory(name="Harbour by cone")
    glaze_tile(TileFactory(series=series), (GlazeFactory(name="Moss"), {"band 1": 1}))
    tile = glaze_tile(
        TileFactory(series=series, note="as made"), (GlazeFactory(name="Harbour"), {"band 1": 2})
    )
    (outcome,) = fired_outcomes(tile, FiringFactory(fired=True))
    Flaw.objects.create(outcome=outcome, kind="crazing", severity="severe")
    Outcome.objects.filter(pk=outcome.pk).update(
        surface="satin", lab_l=50, lab_a=1, lab_b=2, lab_basis="chart", judged_at=timezone.now()
    )
    tile.note = "thin on the left"
    tile.save()
    return tile


def test_the_history_unfolds_on_the_page_and_puts_the_note_back(open_page, recorder, tile):
    page: Page = open_page(tile.get_absolute_url(), recorder)
    page.get_by_role("heading", name="History").scroll_into_view_if_needed()
    page.locator(".history summary").last.click()
    page.get_by_role("button", name="Put it back to this").last.click()

    expect(page.locator(".message")).to_contain_text("stands as it did")
    expect(page.locator(".tile-note")).to_have_text("as made")

    page.get_by_role("button", name="Undo").click()
    expect(page.locator(".tile-note")).to_have_text("thin on the left")


def test_a_tile_goes_to_the_bin_and_back_by_two_taps(open_page, recorder, tile):
    page: Page = open_page(tile.get_absolute_url(), recorder, width=390)
    page.get_by_role("button", name="To the bin").click()
    expect(page.locator(".message")).to_contain_text("is in the bin")
    expect(page.get_by_role("link", name=tile.label)).to_have_count(0)

    page.get_by_role("button", name="Undo").click()
    expect(page.locator("h1")).to_contain_text(tile.label)


def test_the_list_narrows_by_state_and_words(open_page, viewer, tile):
    page: Page = open_page("/tiles/", viewer)
    page.locator(".choice", has_text="judged").last.click()
    expect(page.locator(".tile-small")).to_have_count(1)
    assert "state=judged" in page.url

    page.locator(".choice", has_text="all").first.click()
    page.locator("#list-q").press_sequentially("moss")
    expect(page.locator(".tile-small")).to_have_count(1)


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_bars_anyone_from_these_pages(open_page, keeper, tile, barriers, width, scheme):
    TileFactory().put_in_bin(by=keeper)
    pages = (
        "/",
        "/tiles/",
        tile.get_absolute_url(),
        "/tiles/none/",
        "/history/bin/",
        f"/history/tiles/tile/{tile.pk}/",
    )
    for address in pages:
        page = open_page(address, keeper, width=width, color_scheme=scheme, bypass_csp=True)
        assert barriers(page) == [], address
        assert page.evaluate("document.documentElement.scrollWidth") <= width, address
