"""Coming in, inviting, being invited: in a real browser, on a phone and at a desk."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from studio.people.services import make_link
from studio.vocabulary import LinkPurpose

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PASSWORD = "rutile over a thin flux"
WIDTHS = pytest.mark.parametrize("width", [390, 1280])


@pytest.fixture
def way_in(keeper) -> str:
    return reverse("people:come_in", args=[make_link(keeper, LinkPurpose.SIGN_IN, by=None)])


@WIDTHS
def test_a_keeper_comes_in_by_the_printed_link_and_invites_someone_who_comes_in(
    open_page, way_in, settings, width
):
    settings.LOGIN_REDIRECT_URL = "people:account"
    page = open_page(way_in, width=width)
    page.get_by_role("button", name="Sign in").click()
    page.goto("/people/add/")
    page.get_by_label("Name").fill("Ines Ivory")
    page.locator("label", has_text="viewer").click()
    page.get_by_role("button", name="Add and show the link").click()
    invitation = page.get_by_label("The link").input_value()

    guest = open_page(invitation, width=width)
    guest.get_by_label("New password").fill(PASSWORD)
    guest.get_by_label("The same again").fill(PASSWORD)
    guest.get_by_role("button", name="Come in").click()
    expect(guest.get_by_role("heading", name="Your account")).to_be_visible()

    again = open_page("/people/", width=width)
    expect(again.get_by_role("heading", name="Sign in")).to_be_visible()
    again.get_by_label("Sign-in name").fill("ines-ivory")
    again.get_by_label("Password").fill(PASSWORD)
    again.get_by_role("button", name="Sign in").click()
    expect(again.get_by_role("heading", name="Your role here does not cover this.")).to_be_visible()


def test_the_link_is_selected_by_a_touch_ready_to_be_copied(open_page, keeper, viewer):
    page = open_page(f"/people/{viewer.pk}/", keeper)
    page.get_by_role("button", name="Make an invitation link").click()
    link = page.get_by_label("The link")
    expect(link).to_be_visible()
    page.wait_for_load_state()
    link.focus()

    assert (
        link.evaluate("field => field.value.slice(field.selectionStart, field.selectionEnd)")
        == link.input_value()
    )


def test_dark_is_chosen_without_scripts_and_stays(open_page, viewer):
    page = open_page("/account/", viewer, java_script_enabled=False)
    page.locator("label", has_text="dark").click()
    page.get_by_role("button", name="Keep").click()
    page.goto("/account/password/")

    assert page.locator("html").get_attribute("data-theme") == "dark"


@pytest.mark.parametrize("theme", ["light", "dark"])
@WIDTHS
def test_these_pages_are_for_everyone(open_page, barriers, keeper, viewer, way_in, width, theme):
    look = {"width": width, "color_scheme": theme, "bypass_csp": True}
    doors = open_page("/sign-in/", **look)
    found = {"/sign-in/": barriers(doors)}
    for path in (way_in, "/come-in/closed/"):
        doors.goto(path)
        found[path] = barriers(doors)
    inside = open_page("/people/", keeper, **look)
    for path in (
        "/people/",
        "/people/add/",
        f"/people/{viewer.pk}/",
        "/account/",
        "/account/password/",
        "/account/passkeys/",
        "/preferences/",
    ):
        inside.goto(path)
        found[path] = barriers(inside)
        assert inside.evaluate("document.documentElement.scrollWidth <= innerWidth")

    assert {path: wrong for path, wrong in found.items() if wrong} == {}
