"""The close view in a browser: only pieces in view are fetched; a run is measured by keys and by dragging."""

import re

import pytest
from playwright.sync_api import expect

from tiles.models import RunReading

pytestmark = pytest.mark.django_db(transaction=True)


def test_at_full_resolution_only_the_pieces_in_view_are_fetched(open_page, viewer, photo):
    page = open_page(f"/photos/{photo.sha256}/", viewer, width=1000, height=700)
    fetched = []
    page.on("request", lambda request: fetched.append(request.url))
    view = page.locator("[data-close-up]")
    expect(view).to_have_attribute("data-drawn", "")
    assert not [url for url in fetched if "/pieces/0/" in url]
    view.focus()
    page.keyboard.press("End")
    expect(page.get_by_role("button", name="1 : 1")).to_have_attribute("aria-pressed", "true")
    # A window of about 580 × 525 px in the middle of 2,400 × 800 is over four pieces of 768 px at most.
    expect(view).to_have_attribute("data-pieces-shown", re.compile("[1-4]"))
    page.keyboard.press("Home")
    expect(view).to_have_attribute("data-close-up", "whole")

    assert 1 <= len({url for url in fetched if "/pieces/0/" in url}) <= 4


def test_the_surround_is_chosen_and_stays_chosen(open_page, viewer, photo):
    page = open_page(f"/photos/{photo.sha256}/", viewer)
    page.get_by_role("button", name="Dark surround").click()
    expect(page.locator(".close-up-view")).to_have_css("background-color", "rgb(48, 48, 48)")
    page.reload()

    expect(page.get_by_role("button", name="Dark surround")).to_have_attribute("aria-pressed", "true")


@pytest.mark.parametrize("width", [390, 1280])
def test_a_run_is_measured_by_keys_and_kept(open_page, recorder, mat_photo, outcome, barriers, width):
    page = open_page(f"/photos/{mat_photo.sha256}/run/{outcome.pk}/", recorder, width=width, bypass_csp=True)
    expect(page.locator("[data-ready]")).to_be_attached()
    end = page.get_by_role("button", name="End of the drip")
    end.focus()
    page.keyboard.press("Shift+ArrowDown")
    said = page.locator("#run-length strong")
    expect(said).to_contain_text("give or take")
    live = page.locator(".run-bubble").inner_text()
    expect(said).to_contain_text(live.replace(".0 mm", " mm").replace(" ", "\xa0"))
    assert barriers(page) == []
    page.get_by_role("button", name="Keep this run").click()

    expect(page.get_by_role("button", name="Undo")).to_be_visible()
    assert f"{RunReading.objects.get().run_mm} mm" == live


def test_a_mark_is_dragged_over_a_photo_brought_nearer(open_page, recorder, photo, outcome):
    page = open_page(f"/photos/{photo.sha256}/run/{outcome.pk}/", recorder)
    expect(page.locator("[data-ready]")).to_be_attached()
    page.get_by_role("button", name="Nearer").click()
    expect(page.locator("output")).to_have_text("140 %")
    end = page.get_by_role("button", name="End of the drip")
    box = end.bounding_box()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2 + 40, steps=4)
    page.mouse.up()
    expect(page.locator("#run-length")).to_contain_text("Drag the two square marks")
    moved = end.bounding_box()

    assert moved["y"] - box["y"] == pytest.approx(40, abs=1)
    # The picture itself stayed where it was.
    expect(page.locator("output")).to_have_text("140 %")
    page.get_by_role("button", name="One edge of the tile").press("ArrowLeft")
    expect(page.locator("#run-length strong")).to_contain_text("give or take")
