"""In a real browser: a tile is dragged to another slot by mouse and by finger; a stroke scrolls, a tap opens."""

import pytest
from playwright.sync_api import expect

from tests.factories import BoardFactory, BoardSlotFactory, TileFactory
from tests.touching import Finger
from tiles.models import BoardSlot

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def board():
    made = BoardFactory(name="By the door", rows=2, columns=2)
    for column in (1, 2):
        BoardSlotFactory(board=made, row=1, column=column, tile=TileFactory())
    return made


def numbers(board) -> dict[tuple[int, int], int]:
    slots = BoardSlot.objects.filter(board=board, tile__isnull=False).select_related("tile")
    return {(slot.row, slot.column): slot.tile.number for slot in slots}


def slot(page, name):
    return page.locator(f'[data-slot="{name}"]')


def middle(page, name) -> tuple[float, float]:
    slot(page, name).scroll_into_view_if_needed()
    box = slot(page, name).bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + min(box["height"], 80) / 2


def test_a_tile_dragged_by_mouse_onto_another_changes_places_with_it(open_page, recorder, board):
    before = numbers(board)
    page = open_page(board.get_absolute_url(), recorder)

    with page.expect_navigation():
        slot(page, "1.1").drag_to(slot(page, "1.2"))

    assert numbers(board) == {(1, 1): before[1, 2], (1, 2): before[1, 1]}


def test_a_tile_held_by_a_finger_is_carried_to_an_open_slot(open_page, recorder, board):
    before = numbers(board)
    page = open_page(board.get_absolute_url(), recorder, width=800, height=900, has_touch=True)
    finger = Finger(page)

    finger.down(*middle(page, "1.1"))
    expect(slot(page, "1.1")).to_have_attribute("data-held", "")
    finger.move(*middle(page, "2.2"))
    expect(slot(page, "2.2")).to_have_attribute("data-over", "")
    with page.expect_navigation():
        finger.up()

    assert numbers(board) == {(2, 2): before[1, 1], (1, 2): before[1, 2]}


def test_a_quick_stroke_moves_no_tile(open_page, recorder, board):
    before = numbers(board)
    page = open_page(board.get_absolute_url(), recorder, width=800, height=900, has_touch=True)
    finger = Finger(page)

    finger.down(*middle(page, "1.1"))
    finger.move(*middle(page, "2.2"), steps=2)
    finger.up()
    page.wait_for_timeout(600)

    expect(page.locator("[data-held], [data-over]")).to_have_count(0)
    assert page.url.endswith(board.get_absolute_url())
    assert numbers(board) == before


def test_a_tap_still_opens_the_tile(open_page, recorder, board):
    page = open_page(board.get_absolute_url(), recorder, width=800, height=900, has_touch=True)
    tile = BoardSlot.objects.get(board=board, row=1, column=1).tile

    with page.expect_navigation():
        page.touchscreen.tap(*middle(page, "1.1"))

    assert page.url.endswith(tile.get_absolute_url())


def test_a_viewer_carries_nothing(open_page, viewer, board):
    before = numbers(board)
    page = open_page(board.get_absolute_url(), viewer, width=800, height=900, has_touch=True)
    finger = Finger(page)

    finger.down(*middle(page, "1.1"))
    page.wait_for_timeout(500)

    expect(page.locator("[data-held]")).to_have_count(0)
    assert numbers(board) == before
