"""A working day by keyboard alone: past the bar at the first key, into what opens, and out of it by Escape."""

import pytest

from tests.journeys import looking

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DESK, PHONE = looking.WIDTHS[-1], looking.WIDTHS[0]
STOPS_BEFORE_A_MENU = 25


def tab_to(page, what) -> None:
    for _ in range(STOPS_BEFORE_A_MENU):
        page.keyboard.press("Tab")
        if what.evaluate("thing => thing === document.activeElement"):
            return
    raise AssertionError("the keyboard never came there")


def is_focused(what) -> bool:
    return bool(what.evaluate("thing => thing === document.activeElement"))


@pytest.mark.parametrize("width", [PHONE, DESK])
def test_the_first_key_leads_past_the_bar(open_page, recorder, width):
    page = open_page("/", recorder)
    page.set_viewport_size({"width": width, "height": looking.HEIGHT})

    page.keyboard.press("Tab")
    assert page.locator(":focus").inner_text() == "Skip to the page"
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")

    assert page.locator("#main :focus").count() == 1


def test_the_menu_opens_by_a_key_and_escape_leads_back_to_its_button(open_page, recorder):
    page = open_page("/catalogue/", recorder)
    page.set_viewport_size({"width": DESK, "height": looking.HEIGHT})
    button, menu = page.locator(".topbar [popovertarget=more]"), page.locator("#more")

    tab_to(page, button)
    page.keyboard.press("Enter")
    assert menu.is_visible()
    page.keyboard.press("Tab")
    assert page.locator("#more :focus").count() == 1
    page.keyboard.press("Escape")

    assert not menu.is_visible()
    assert is_focused(button)


def test_a_small_form_takes_the_focus_and_escape_leads_back_to_where_it_was_opened(open_page, recorder):
    page = open_page("/tiles/new/", recorder)
    link = page.locator("a[data-opens]").first
    dialog = page.locator("#dialog")

    link.focus()
    page.keyboard.press("Enter")
    page.locator("#dialog[open] input:not([type=hidden])").first.wait_for()
    assert page.locator("#dialog :focus").count() == 1
    for _ in range(STOPS_BEFORE_A_MENU):
        page.keyboard.press("Tab")
        assert not page.locator("#main :focus").count(), "the keyboard left the form that lies over the page"
    dialog.locator("input:not([type=hidden])").first.focus()
    page.keyboard.press("Escape")

    assert not dialog.is_visible()
    assert is_focused(link)
