"""The editor in a real browser: the forecast follows the typing, keys and thumbs reach everything."""

import re

import pytest
from django.urls import reverse_lazy

from firings.models import Programme
from tests.factories import ProgrammeFactory, SegmentFactory

pytestmark = pytest.mark.browser

NEW = str(reverse_lazy("firings:programmes:new"))
WIDTHS = [390, 1280]


def cone_is(page, words):
    page.locator("#preview .comes-to-cone strong").get_by_text(words, exact=True).wait_for()


def fill(page, row, **boxes):
    for name, text in boxes.items():
        page.locator(f".segment:nth-child({row}) [name^={name}-]").fill(text)


@pytest.mark.parametrize("width", WIDTHS)
def test_the_cone_follows_while_one_types(open_page, recorder, barriers, width):
    page = open_page(NEW, recorder, width=width, bypass_csp=True)
    fill(page, 1, rate="60", target="1222")
    cone_is(page, "6.1")
    fill(page, 1, hold="20")
    cone_is(page, "7.1")
    clock = page.locator(".segment:nth-child(1) .segment-clock").inner_text()

    assert "there at 20:02, held until 20:22" in clock
    assert page.locator("svg.firing-drawing:visible").count() == 1
    assert "7.1" in page.locator(".programme-bar-words").inner_text()
    assert barriers(page) == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_a_whole_programme_by_keys_alone(open_page, recorder):
    page = open_page(NEW, recorder)
    page.get_by_label("Name").fill("By keys")
    page.locator("[name=rate-1]").focus()
    for text in ("100", "600", "", "60", "1222", "", "", "", ""):
        page.keyboard.type(text)
        page.keyboard.press("Enter")
    page.locator(".segment:nth-child(4)").wait_for()
    page.locator("[name=rate-2]").focus()
    page.keyboard.press("Alt+ArrowUp")
    page.locator(".segment:nth-child(1) [name=rate-2]").wait_for()
    page.locator("[name=target-2]").focus()
    page.keyboard.press("Alt+ArrowDown")
    page.locator(".segment:nth-child(1) [name=rate-1]").wait_for()
    page.get_by_role("button", name="Keep the programme").click()
    page.wait_for_url(re.compile(r"/programmes/\d+/$"))

    kept = Programme.objects.get().segments.order_by("position").values_list("target_c", flat=True)
    assert [int(target) for target in kept] == [600, 1222]


@pytest.mark.parametrize("width", WIDTHS)
def test_a_suggested_hold_is_taken_by_one_tap(open_page, recorder, width):
    page = open_page(NEW, recorder, width=width)
    fill(page, 1, rate="60", target="1186")
    page.get_by_label("For cone").fill("6")
    page.get_by_role("button", name="Use this hold, 1 h 12 min").click()
    page.locator("[name=hold-1][value='72']").wait_for()

    cone_is(page, "6")
    assert page.input_value("[name=target-1]") == "1186"


def test_the_unit_changes_with_everything_typed(open_page, recorder):
    page = open_page(NEW, recorder, width=390)
    page.get_by_label("Name").fill("Half wr")
    fill(page, 1, rate="60", target="1000")
    page.get_by_role("button", name="°F").click()
    page.locator("[name=target-1][value='1832']").wait_for()

    assert page.input_value("[name=rate-1]") == "108"
    assert page.get_by_label("Name").input_value() == "Half wr"


def test_a_programme_is_written_without_scripts(open_page, recorder):
    page = open_page(NEW, recorder, width=390, java_script_enabled=False)
    page.get_by_label("Name").fill("Plain")
    fill(page, 1, rate="60", target="1000")
    page.get_by_role("button", name="Draw it").last.click()
    drawn = page.locator("svg.firing-drawing:visible").count()
    page.get_by_role("button", name="Add a segment").click()
    fill(page, 4, rate="60", target="1222", hold="10")
    page.get_by_role("button", name="Keep the programme").click()

    assert drawn == 1
    assert Programme.objects.get().segments.count() == 2


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("width", WIDTHS)
def test_every_page_of_programmes_passes_the_accessibility_rules(open_page, recorder, barriers, theme, width):
    one, other = ProgrammeFactory(name="Slow six"), ProgrammeFactory(name="Held six")
    SegmentFactory(programme=one)
    SegmentFactory(programme=other, hold_min=30)
    page = open_page(NEW, recorder, width=width, color_scheme=theme, bypass_csp=True)
    pages = ("", f"{one.pk}/?cone=7", f"{one.pk}/edit/?cone=7", f"compare/?a={one.pk}&b={other.pk}", "text/")
    for path in pages:
        page.goto(f"/firings/programmes/{path}")

        assert barriers(page) == []
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), path
