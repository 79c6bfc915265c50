"""Witness cones bent by hand in a real browser, at a phone and at a desk."""

import re

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from firings.heatwork import cone_shape
from firings.models import WitnessCone
from tests.factories import FiringFactory, ShelfFactory, WitnessConeFactory

CONE_6 = 30


@pytest.fixture
def firing(transactional_db):
    firing = FiringFactory(fired=True, target_order=CONE_6)
    for position in (1, 2, 3):
        ShelfFactory(kiln=firing.kiln, position=position)
    return firing


def address(firing):
    return reverse("firings:logbook:cones", args=[firing.number])


def drag_tip(page, handle, to_deg):
    """Drag a cone's tip to where it stands when bent so far."""
    svg = page.locator("[data-cone-drawing]").nth(1).bounding_box()
    scale = svg["width"] / cone_shape.WIDTH
    start = handle.locator(".cone-grip").bounding_box()
    page.mouse.move(start["x"] + start["width"] / 2, start["y"] + start["height"] / 2)
    page.mouse.down()
    for deg in range(0, to_deg + 1, 6):
        x, y = cone_shape.tip(deg)
        page.mouse.move(svg["x"] + x * scale, svg["y"] + y * scale)
    page.mouse.up()


@pytest.mark.parametrize("width", [390, 1280])
def test_a_set_of_three_is_read_by_dragging_and_tapping(open_page, recorder, firing, barriers, width):
    page = open_page(address(firing), recorder, width=width, bypass_csp=True)
    top = page.locator("[data-cone-set]").first
    handle = top.get_by_role("slider", name="Bend of cone 6")

    assert "Shelf 3" in top.locator("legend").inner_text()
    assert handle.get_attribute("aria-valuetext") == "unread"
    top.get_by_role("button", name="Down").nth(0).click()
    top.get_by_role("button", name="Upright").nth(2).click()
    handle.scroll_into_view_if_needed()
    drag_tip(page, handle, 72)

    assert int(handle.get_attribute("aria-valuenow")) == pytest.approx(72, abs=3)
    top.get_by_text(re.compile(r"Guide down, target at .+, guard upright: 5\.\d\.")).wait_for()
    # All in view, so that the bar which stays at the foot covers nothing half.
    page.set_viewport_size({"width": width, "height": 3000})
    assert barriers(page) == []
    page.get_by_role("button", name="Keep the cones").click()
    page.get_by_text(re.compile(r"It reached 5\.\d by witness cones")).wait_for()
    assert sorted(cone.bend_deg for cone in WitnessCone.objects.filter(firing=firing))[::2] == [0, 90]


def test_a_cone_is_bent_by_keys_and_a_contradiction_is_pointed_out(open_page, recorder, firing):
    page = open_page(address(firing), recorder)
    top = page.locator("[data-cone-set]").first
    guard = top.get_by_role("slider", name="Bend of cone 7")
    guard.focus()
    for key in ("PageDown", "PageDown", "ArrowRight", "ArrowLeft", "ArrowDown"):
        page.keyboard.press(key)
    assert guard.get_attribute("aria-valuenow") == "21"
    guard.press("End")

    assert guard.get_attribute("aria-valuenow") == str(cone_shape.LAST_DEG)
    top.get_by_role("button", name="Upright").nth(1).click()
    top.get_by_text("Cone 7 is further down than cone 6, which is cooler").wait_for()


def test_a_finger_bends_a_cone_on_a_phone(open_page, recorder, firing):
    page = open_page(address(firing), recorder, width=390, has_touch=True, is_mobile=True)
    handle = page.get_by_role("slider", name="Bend of cone 6").first
    handle.scroll_into_view_if_needed()
    reach = handle.locator(".cone-reach").bounding_box()

    assert min(reach["width"], reach["height"]) >= 44
    svg = page.locator("[data-cone-drawing]").nth(1).bounding_box()
    scale = svg["width"] / cone_shape.WIDTH
    touch = page.context.new_cdp_session(page)
    points = [cone_shape.tip(deg) for deg in range(0, 91, 10)]
    fingers = [{"x": svg["x"] + x * scale, "y": svg["y"] + y * scale} for x, y in points]
    scrolled = page.evaluate("scrollY")
    touch.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [fingers[0]]})
    for finger in fingers[1:]:
        touch.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [finger]})
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})

    assert int(handle.get_attribute("aria-valuenow")) == pytest.approx(90, abs=3)
    assert page.evaluate("scrollY") == scrolled


def test_the_browser_draws_the_cone_as_the_page_and_the_print_do(open_page, recorder, firing):
    page = open_page(address(firing), recorder)
    box = page.get_by_label("Bend, degrees").first
    for deg in (0, 17, 90, 120, 150):
        box.fill(str(deg))
        points = [
            re.findall(r"[\d.]+", path)
            for path in (page.locator("[data-cone-body]").first.get_attribute("d"), cone_shape.outline(deg))
        ]
        drawn, meant = ([float(number) for number in numbers] for numbers in points)

        assert drawn == pytest.approx(meant, abs=0.011)


def test_without_scripts_cones_are_drawn_and_typed(open_page, recorder, firing):
    shelf = firing.kiln.shelves.first()
    WitnessConeFactory(firing=firing, order=28, shelf=shelf, bend_deg=90)
    WitnessConeFactory(firing=firing, order=CONE_6, shelf=shelf, bend_deg=30)
    page = open_page(address(firing), recorder, java_script_enabled=False)

    assert page.locator("[data-cone-body]").nth(1).get_attribute("d") == cone_shape.outline(30)
    assert page.get_by_role("slider").count() == 0
    page.get_by_label("Bend, degrees").nth(1).fill("45")
    page.get_by_role("button", name="Keep the cones").click()
    assert "It reached 5.5 by witness cones" in page.content()


def test_what_cones_say_is_told_to_whoever_may_see_the_firing(viewer_client, firing):
    said = reverse("firings:logbook:cones_said", args=[firing.number])
    page = viewer_client.get(
        f"{said}?order=5&bend_deg=90&order=6&bend_deg=4x&order=nonsense&bend_deg=9"
    ).content.decode()

    assert "Cone 5 down: at least 5." in page
    assert not WitnessCone.objects.exists()


def test_evidence_that_disagrees_is_said_plainly_on_the_firings_page(viewer_client, firing):
    WitnessConeFactory(firing=firing, order=CONE_6, bend_deg=90)
    firing.controller_number = 4
    firing.save()
    page = viewer_client.get(firing.get_absolute_url()).content.decode()

    assert "The controller says 4, the witness cones 6" in page
    assert "Witness cones decide" in page
    assert "at least" in page


def test_one_more_place_is_named_once_for_its_three_cones(open_page, recorder, firing):
    page = open_page(address(firing), recorder, width=390)
    page.get_by_text("Add another place").click()
    more = page.locator("[data-one-place]")
    more.locator("[name$='-place']").first.fill("by the door")
    more.locator("[name$='-place']").first.blur()

    for at in range(3):
        expect(more.locator("[name$='-place']").nth(at)).to_have_value("by the door")
