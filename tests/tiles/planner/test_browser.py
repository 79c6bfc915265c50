"""A series planned for a new glaze, in a browser, as a person would."""

from django.urls import reverse
from playwright.sync_api import expect

from tests.factories import (
    ClayBodyFactory,
    GlazeFactory,
    TileFormFactory,
)
from tiles.models import Tile


def test_a_new_glaze_is_planned_and_its_tiles_made(open_page, recorder, barriers):
    GlazeFactory(name="Old Kettle")
    GlazeFactory(name="Flux L", kind="flux")
    for name in ("Quay white", "Dune speckled", "Peat dark"):
        ClayBodyFactory(name=name)
    TileFormFactory(name="Three bands")
    page = open_page(reverse("tiles:planner:new"), recorder, bypass_csp=True)
    tiles = page.locator(".plan-figure").first

    page.get_by_label("Name").fill("Old Kettle all round")
    page.get_by_label("add a glaze").first.select_option(label="Old Kettle")
    expect(page.get_by_role("checkbox", name="Old Kettle")).to_be_checked()
    for body in ("Quay white", "Dune speckled", "Peat dark"):
        page.get_by_role("checkbox", name=body).check()
    page.get_by_label("Cones").fill("5, 6, 10")
    expect(tiles).to_have_text("9")
    expect(page.locator("#plan-count")).to_contain_text("Make 9 tiles")
    page.get_by_label("add what goes under").select_option(label="Flux L")
    expect(page.get_by_role("checkbox", name="Flux L")).to_be_checked()
    page.get_by_label("every combination").check()
    expect(tiles).to_have_text("18")
    assert barriers(page) == []

    page.get_by_role("button", name="Make 18 tiles").click()

    expect(page.get_by_text("18 tiles made")).to_be_visible()
    assert Tile.objects.count() == 18
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_text("18 tiles put in the bin")).to_be_visible()
    assert Tile.objects.count() == 0


def test_what_is_chosen_and_typed_while_the_plan_is_drawn_anew_stays(open_page, recorder):
    for name in ("Old Kettle", "Flux L"):
        GlazeFactory(name=name)
    page = open_page(reverse("tiles:planner:new"), recorder)
    page.route("**/plans/new/", lambda route: (page.wait_for_timeout(400), route.continue_()))

    page.get_by_label("add a glaze").first.select_option(label="Old Kettle")
    page.get_by_label("add what goes under").select_option(label="Flux L")
    page.get_by_label("Cones").fill("5 6 10")

    expect(page.get_by_role("checkbox", name="Old Kettle")).to_be_checked()
    expect(page.get_by_role("checkbox", name="Flux L")).to_be_checked()
    expect(page.get_by_label("Cones")).to_have_value("5, 6, 10")


def test_a_slip_is_marked_only_as_long_as_it_stands(open_page, recorder):
    for name in ("Old Kettle", "Flux L"):
        GlazeFactory(name=name)
    page = open_page(reverse("tiles:planner:new"), recorder)
    form = page.locator("#plan-form")
    marks, waste = form.locator(".errorlist"), page.get_by_label("Waste, %")

    # A glaze chosen beside a slip: that is marked, and nobody is told that a plan they did not keep is not kept.
    page.get_by_label("Cones").fill("5, 66")
    page.get_by_label("add a glaze").first.select_option(label="Old Kettle")
    expect(page.get_by_role("checkbox", name="Old Kettle")).to_be_checked()
    expect(marks).to_have_count(1)
    expect(form.get_by_text("marked below")).to_be_visible()
    expect(form.get_by_text("Not kept yet")).to_have_count(0)

    # Still wrong, and in another way.
    page.get_by_label("Cones").fill("77")
    expect(marks).to_contain_text("77")

    page.get_by_label("Cones").fill("5, 6")
    expect(marks).to_have_count(0)
    expect(form.get_by_text("marked below")).to_have_count(0)
    expect(page.get_by_label("Cones")).not_to_have_attribute("aria-invalid", "true")

    # Pressed to keep, it says so; each mark goes by itself.
    page.get_by_label("Name").fill("Old Kettle all round")
    waste.fill("a lot")
    page.get_by_label("Days to a firing").fill("some")
    page.get_by_role("button", name="Keep the plan").click()
    expect(form.get_by_text("Not kept yet")).to_be_visible()
    expect(marks).to_have_count(2)
    page.get_by_label("Days to a firing").fill("2")
    expect(marks).to_have_count(1)
    expect(form.get_by_text("Not kept yet")).to_be_visible()
    waste.fill("20")
    expect(marks).to_have_count(0)
    expect(form.get_by_text("Not kept yet")).to_have_count(0)


def test_going_back_after_the_tiles_are_made_shows_the_plan_as_it_was(open_page, recorder):
    """An empty plan stood there: all of it had to be typed again to make the next one a little different."""
    GlazeFactory(name="Old Kettle")
    ClayBodyFactory(name="Quay white")
    TileFormFactory(name="Three bands")
    page = open_page(reverse("tiles:planner:new"), recorder)
    name, glaze = page.get_by_label("Name"), page.get_by_role("checkbox", name="Old Kettle")

    name.fill("Old Kettle all round")
    page.get_by_label("add a glaze").first.select_option(label="Old Kettle")
    expect(glaze).to_be_checked()
    page.get_by_label("Cones").fill("5, 6, 10")
    page.get_by_role("button", name="Make 3 tiles").click()
    expect(page.get_by_text("3 tiles made")).to_be_visible()
    page.go_back()

    expect(glaze).to_be_checked()
    expect(name).to_have_value("Old Kettle all round")
    expect(page.get_by_label("Cones")).to_have_value("5, 6, 10")
    # All of them exist by now: pressed once more, the button makes none twice.
    expect(page.locator("#plan-count")).to_contain_text("No tile to make")

    # Another visit begins empty.
    page.goto(reverse("tiles:recording:series_list"))
    page.goto(reverse("tiles:planner:new"))
    expect(name).to_have_value("")
