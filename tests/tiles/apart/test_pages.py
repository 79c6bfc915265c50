"""The block on a tile's page and the page of its own."""

import random

import pytest
from playwright.sync_api import expect

from tests.counting import queries_of
from tests.factories import (
    CONE_5,
    ClayBodyFactory,
    FiringFactory,
    GlazeFactory,
    KilnFactory,
    TileFactory,
    TileFormFactory,
    fired_outcomes,
    glaze_tile,
)
from tests.tiles.apart.studios import random_studio
from tiles.models import Outcome, Tile

pytestmark = pytest.mark.django_db


def a_small_studio():
    """One glaze at two cones, in one to three coats; returns a tile of cone 6."""
    glaze = GlazeFactory(name="Harbour", cone_low_order=CONE_5 - 2, cone_high_order=CONE_5 + 4)
    body, form, kiln = ClayBodyFactory(name="Dune speckled"), TileFormFactory(), KilnFactory()
    firings = (
        FiringFactory(fired=True, kiln=kiln),
        FiringFactory(fired=True, kiln=kiln, target_order=CONE_5, reached_order=CONE_5),
    )
    for firing in firings:
        tile = TileFactory(body=body, form=form)
        glaze_tile(tile, (glaze, {"band 1": 1, "band 2": 2, "band 3": 3}))
        fired_outcomes(tile, firing)
    FiringFactory(target_order=CONE_5 + 4, kiln=kiln)
    ClayBodyFactory(name="Peat dark")
    return Tile.objects.order_by("number").first()


def test_a_tile_page_shows_what_is_one_change_apart(recorder_client):
    page = recorder_client.get(a_small_studio().get_absolute_url()).content.decode()

    assert "One change apart" in page
    for title in ("cone", "coats", "clay body"):
        assert f">{title}</h3>" in page
    assert "plan it" in page
    assert "/results/compare/?o=" in page
    assert page.count("one change apart</a>") == 3


def test_a_viewer_sees_results_and_no_plans(viewer_client):
    page = viewer_client.get(a_small_studio().get_absolute_url()).content.decode()

    assert ">coats</h3>" in page
    assert "plan it" not in page


def test_another_zone_can_be_looked_at(viewer_client):
    tile = a_small_studio()
    first = Outcome.objects.filter(tile=tile).order_by("zone__position").first()
    address = tile.get_absolute_url()

    assert viewer_client.get(address).context["apart"].block.outcome.coats_total == 3
    assert viewer_client.get(f"{address}?apart={first.pk}").context["apart"].block.outcome == first
    assert viewer_client.get(f"{address}?apart=none").context["apart"].block.outcome.coats_total == 3


def test_it_has_a_page_of_its_own_and_a_piece_for_the_tile_page(viewer_client):
    outcome = Outcome.objects.filter(tile=a_small_studio()).first()
    page = viewer_client.get(f"/evidence/apart/{outcome.pk}/")
    piece = viewer_client.get(f"/evidence/apart/{outcome.pk}/", headers={"HX-Request": "true"})

    assert "<html" in page.content.decode()
    assert piece.content.decode().lstrip().startswith('<section class="section" id="apart"')


def test_a_tile_that_was_not_fired_has_no_block(viewer_client):
    tile = glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 1}))

    assert "One change apart" not in viewer_client.get(tile.get_absolute_url()).content.decode()


def test_a_lonely_result_says_what_to_do(viewer_client):
    tile = glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 1}))
    fired_outcomes(tile, FiringFactory(fired=True))

    assert (
        "Nothing fired yet differs from this" in viewer_client.get(tile.get_absolute_url()).content.decode()
    )


def test_the_tile_page_asks_no_more_with_more_results(viewer_client):
    random_studio(random.Random(2), tiles=20)
    tile = Tile.objects.filter(outcomes__fired_on__isnull=False).order_by("pk").first()
    few = queries_of(viewer_client, tile.get_absolute_url())
    random_studio(random.Random(2), tiles=20)

    assert queries_of(viewer_client, tile.get_absolute_url()) == few


def test_plan_it_fills_the_page_of_new_tiles(recorder_client):
    tile = a_small_studio()
    dark = ClayBodyFactory(name="Tarn black")
    sheet = recorder_client.get(f"/tiles/{tile.label}/again/?body={dark.pk}&cone=8").context
    coats = recorder_client.get(f"/tiles/{tile.label}/again/?layer=1&zone=band+2&coats=4").content.decode()

    assert sheet["sheet"].recipe.initial["body"] == dark.pk
    assert sheet["sheet"].recipe.initial["planned"] == "8"
    assert 'name="coats-n1-band 2"' in coats
    assert coats.count('value="4"') > recorder_client.get(
        f"/tiles/{tile.label}/again/"
    ).content.decode().count('value="4"')
    assert recorder_client.get(f"/tiles/{tile.label}/again/?layer=x&body=-&cone=99").status_code == 200


@pytest.mark.django_db(transaction=True)
def test_one_change_apart_on_a_phone(open_page, recorder, barriers):
    """From a tile, over its block, to another zone, to planning the coat that is missing."""
    tile = a_small_studio()
    page = open_page(tile.get_absolute_url(), recorder, width=390, bypass_csp=True)
    block = page.locator("#apart")

    expect(block.locator(".apart-stand--this")).to_have_count(block.locator(".apart-row").count())
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert barriers(page) == []
    block.get_by_role("link", name="band 1", exact=True).click()
    expect(block.locator(".apart-choices [aria-current=true]")).to_have_text("band 1")
    block.get_by_role("link", name="8 plan it").click()
    expect(page).to_have_url(f"{page.url.split('/tiles/')[0]}/tiles/{tile.label}/again/?cone=8")
    expect(page.get_by_label("For cone")).to_have_value("8")
