"""In a real browser: a tile on a drawn shelf is moved by mouse, by finger and by arrow keys."""

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from tests.factories import FiringFactory, GlazeFactory, ShelfFactory, TileFactory, glaze_tile
from tests.touching import Finger
from tiles.loading import services
from tiles.models import Placement

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def load(recorder):
    """A firing with one tile on the lower of two shelves, as it was proposed."""
    low = ShelfFactory(position=1, width_mm=400, depth_mm=300, height_mm=150)
    ShelfFactory(kiln=low.kiln, position=2, width_mm=400, depth_mm=300, height_mm=150)
    firing = FiringFactory(number=231, kiln=low.kiln)
    tile = glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 1}))
    services.place_tiles(firing, [tile.pk], None, "", False, by=recorder)
    services.propose_load(firing, by=recorder)
    return firing


def where() -> tuple[int, int, int]:
    placed = Placement.objects.select_related("shelf").get()
    return placed.shelf.position, placed.x_mm, placed.y_mm


def piece(page):
    return page.locator("[data-shelves] [data-piece]").first


def middle(locator) -> tuple[float, float]:
    locator.scroll_into_view_if_needed()
    box = locator.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def opened(open_page, recorder, **more):
    page = open_page("/firings/231/load/", recorder, **more)
    expect(piece(page)).to_have_attribute("tabindex", "0")
    return page


def kept(page) -> None:
    """Wait until the studio has answered the move."""
    page.wait_for_load_state("networkidle")


def test_a_tile_is_dragged_by_mouse(open_page, recorder, load):
    shelf, x_mm, y_mm = where()
    page = opened(open_page, recorder)
    x, y = middle(piece(page))

    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 60, y + 10, steps=6)
    with page.expect_response(lambda answer: answer.request.method == "POST"):
        page.mouse.up()
    kept(page)

    now = where()
    assert now[0] == shelf
    assert now[1] > x_mm + 10
    assert now[2] >= y_mm


@pytest.mark.parametrize("width", [390, 1280])
def test_a_tile_is_dragged_by_finger_and_the_page_stays_where_it_is(open_page, recorder, load, width):
    shelf, x_mm, _ = where()
    page = opened(open_page, recorder, width=width, height=800, has_touch=True)
    finger = Finger(page)
    x, y = middle(piece(page))
    scrolled = page.evaluate("scrollY")

    finger.down(x, y)
    finger.move(x + 60, y + 20)
    assert page.evaluate("scrollY") == scrolled
    with page.expect_response(lambda answer: answer.request.method == "POST"):
        finger.up()
    kept(page)

    assert where()[0] == shelf
    assert where()[1] > x_mm + 10


def test_a_tap_moves_nothing(open_page, recorder, load):
    before = where()
    page = opened(open_page, recorder, has_touch=True)
    finger = Finger(page)

    finger.down(*middle(piece(page)))
    finger.up()
    page.wait_for_timeout(500)

    assert where() == before


def test_a_tile_is_moved_by_arrow_keys(open_page, recorder, load):
    shelf, x_mm, y_mm = where()
    page = opened(open_page, recorder)

    piece(page).focus()
    with page.expect_response(lambda answer: answer.request.method == "POST"):
        for _ in range(4):
            page.keyboard.press("ArrowRight")
    kept(page)

    assert where() == (shelf, x_mm + 20, y_mm)


def test_all_tiles_of_the_firing_s_cone_are_ticked_at_once(open_page, recorder):
    firing = FiringFactory(number=232, target_order=30)
    for cone in (30, 30, 30, 34):
        tile = TileFactory(planned_order=cone, glazed_on=timezone.localdate())
        glaze_tile(tile, (GlazeFactory(), {"band 1": 1}))

    page = open_page("/firings/232/load/", recorder)
    page.get_by_role("button", name="All", exact=True).first.click()
    expect(page.get_by_text("3 of 3 ticked")).to_be_visible()
    page.get_by_role("button", name="Put in").click()
    expect(page.locator("main")).to_contain_text("3 tiles")

    assert firing.placements.count() == 3


def test_a_page_refused_opens_at_what_is_wrong(open_page, recorder):
    FiringFactory(number=233)

    page = open_page("/firings/233/load/", recorder, width=390, height=500)
    page.get_by_label("Numbers, typed").fill("1042-8")
    page.get_by_role("button", name="Put in").click()

    expect(page.get_by_label("Numbers, typed")).to_be_focused()
    expect(page.get_by_text("1042-8 is no tile number")).to_be_in_viewport()
