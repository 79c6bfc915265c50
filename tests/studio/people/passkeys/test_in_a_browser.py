"""Making a passkey and signing in by it, in a real browser whose device is played by the browser itself."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from studio.models import Passkey, Person
from tests.factories import PasskeyFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PASSWORD = "rutile over a thin flux"
WIDTHS = pytest.mark.parametrize("width", [390, 1280])


@pytest.fixture
def rowan(transactional_db) -> Person:
    return Person.objects.create_user("rowan", password=PASSWORD, name="Rowan Reed")


@pytest.fixture
def with_device() -> Callable[..., Page]:
    """Give a page's browser a device: ``with_device(page)``; unlocked says whether finger, face or PIN will do."""

    def give(page: Page, *, unlocked: bool = True) -> Page:
        session = page.context.new_cdp_session(page)
        session.send("WebAuthn.enable")
        device = {
            "protocol": "ctap2",
            "transport": "internal",
            "hasResidentKey": True,
            "hasUserVerification": True,
            "isUserVerified": unlocked,
            "automaticPresenceSimulation": True,
        }
        session.send("WebAuthn.addVirtualAuthenticator", {"options": device})
        return page

    return give


def make(page: Page, name: str) -> None:
    page.get_by_label("Where it is").fill(name)
    page.get_by_label("Your password").fill(PASSWORD)
    page.get_by_role("button", name="Make a passkey").click()
    expect(page.get_by_role("rowheader", name=name)).to_be_visible()


@WIDTHS
def test_a_passkey_is_made_and_signs_its_person_in(open_page, with_device, rowan, settings, width):
    settings.LOGIN_REDIRECT_URL = "people:account"
    page = with_device(open_page("/account/passkeys/", rowan, width=width))
    make(page, "my phone")
    expect(page.get_by_text("my phone signs you in from now on.")).to_be_visible()

    page.context.clear_cookies()
    page.goto("/sign-in/?next=/account/passkeys/")
    page.get_by_role("button", name="Sign in with a passkey").click()

    expect(page.get_by_role("heading", name="Your passkeys")).to_be_visible()
    expect(page.get_by_label("Your password")).to_have_count(0)
    assert Passkey.objects.get().used_at is not None


def test_all_of_it_goes_by_keyboard(open_page, with_device, rowan, settings):
    settings.LOGIN_REDIRECT_URL = "people:account"
    page = with_device(open_page("/account/passkeys/", rowan))
    page.get_by_label("Where it is").focus()
    page.keyboard.type("the desk")
    page.keyboard.press("Tab")
    page.keyboard.type(PASSWORD)
    page.keyboard.press("Enter")
    expect(page.get_by_role("rowheader", name="the desk")).to_be_visible()

    page.context.clear_cookies()
    page.goto("/sign-in/")
    button = page.get_by_role("button", name="Sign in with a passkey")
    expect(button).to_be_visible()
    for _ in range(3):
        page.keyboard.press("Tab")
    expect(button).to_be_focused()
    page.keyboard.press("Enter")

    expect(page.get_by_role("heading", name="Your account")).to_be_visible()


def test_a_wrong_password_says_so_keeps_the_name_and_makes_nothing(open_page, with_device, rowan):
    page = with_device(open_page("/account/passkeys/", rowan))
    page.get_by_label("Where it is").fill("my phone")
    page.get_by_label("Your password").fill("wrong")
    page.get_by_role("button", name="Make a passkey").click()

    expect(page.get_by_role("alert").filter(has_text="not your present password")).to_be_visible()
    expect(page.get_by_label("Your password")).to_be_focused()
    assert page.get_by_label("Where it is").input_value() == "my phone"
    assert not Passkey.objects.exists()


def test_a_device_that_is_not_unlocked_says_what_to_do_and_may_try_again(open_page, with_device, rowan):
    PasskeyFactory(person=rowan)
    page = with_device(open_page("/sign-in/"), unlocked=False)
    button = page.get_by_role("button", name="Sign in with a passkey")
    button.click()

    expect(page.get_by_role("alert").filter(has_text="try again")).to_be_visible()
    expect(button).to_be_enabled()


def test_a_device_that_is_not_unlocked_makes_nothing_and_keeps_the_name_typed(open_page, with_device, rowan):
    page = with_device(open_page("/account/passkeys/", rowan), unlocked=False)
    page.get_by_label("Where it is").fill("my phone")
    page.get_by_label("Your password").fill(PASSWORD)
    page.get_by_role("button", name="Make a passkey").click()

    expect(page.get_by_role("alert").filter(has_text="so nothing was made")).to_be_visible()
    assert page.get_by_label("Where it is").input_value() == "my phone"


def test_a_device_makes_no_second_one_for_the_same_person(open_page, with_device, rowan):
    page = with_device(open_page("/account/passkeys/", rowan))
    make(page, "my phone")
    page.get_by_label("Where it is").fill("again")
    page.get_by_label("Your password").fill(PASSWORD)
    page.get_by_role("button", name="Make a passkey").click()

    expect(page.get_by_role("alert").filter(has_text="holds a passkey of yours")).to_be_visible()
    assert Passkey.objects.count() == 1


def test_a_passkey_that_was_removed_lets_nobody_in(open_page, with_device, rowan):
    page = with_device(open_page("/account/passkeys/", rowan))
    make(page, "my phone")
    Passkey.objects.update(credential_id="another")
    page.context.clear_cookies()
    page.goto("/sign-in/")
    page.get_by_role("button", name="Sign in with a passkey").click()

    expect(page.get_by_role("alert").filter(has_text="lets nobody in here")).to_be_visible()


def test_without_scripts_the_door_and_the_page_work_and_say_so(open_page, rowan):
    PasskeyFactory(person=rowan)
    door = open_page("/sign-in/", java_script_enabled=False)
    expect(door.get_by_role("button", name="Sign in", exact=True)).to_be_visible()
    expect(door.get_by_role("button", name="Sign in with a passkey")).to_be_hidden()

    inside = open_page("/account/passkeys/", rowan, java_script_enabled=False)
    expect(inside.get_by_text("This browser makes no passkeys")).to_be_visible()
    expect(inside.get_by_role("button", name="Make a passkey")).to_be_hidden()
    inside.get_by_role("button", name="Remove").click()
    expect(inside.get_by_text("lets nobody in any more")).to_be_visible()


@pytest.mark.parametrize("theme", ["light", "dark"])
@WIDTHS
def test_these_pages_are_for_everyone(open_page, barriers, keeper, rowan, width, theme):
    mine = PasskeyFactory(person=keeper, name="my phone, in the pocket of the apron")
    PasskeyFactory(person=rowan, site="old.kiln.example")
    look = {"width": width, "color_scheme": theme, "bypass_csp": True}
    pages = [("/sign-in/", None), ("/account/", keeper), ("/account/passkeys/", keeper)]
    pages += [(f"/account/passkeys/{mine.pk}/", keeper), (f"/people/{rowan.pk}/", keeper)]
    found = {}
    for path, person in pages:
        page = open_page(path, person, **look)
        found[path] = barriers(page)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")

    assert {path: wrong for path, wrong in found.items() if wrong} == {}
