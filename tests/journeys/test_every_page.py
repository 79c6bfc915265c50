"""Every page that links lead to, in the demo studio and an empty one: it answers, fits, and bars nobody."""

from collections.abc import Callable, Iterable
from itertools import product

import pytest
from django.core.management import call_command
from django.test import Client
from playwright.sync_api import ConsoleMessage, Page

from studio.models import Person
from tests.journeys import looking
from tests.journeys.walking import one_of_each_kind, pages_reached

pytestmark = [pytest.mark.browser, pytest.mark.sweep, pytest.mark.django_db(transaction=True)]

# Rules beside those of WCAG: one main part, headings in order, landmarks told apart.
GOOD_PRACTICE = "best-practice"
Barriers = list[tuple[str, str]]
# Pages for those who are not signed in, and one that is not there.
OUTSIDE = ("/sign-in/", "/no-such-page/")


@pytest.fixture
def demo(transactional_db: None) -> None:
    call_command("demo", every=8, processes=0, verbosity=0)


@pytest.fixture
def people(demo: None, keeper: Person, recorder: Person, viewer: Person) -> dict[str, Person]:
    return {"keeper": keeper, "recorder": recorder, "viewer": viewer}


@pytest.fixture
def opened(open_page: Callable[..., Page]) -> Callable[[Person | None], Page]:
    """A browser under a thumb that may be looked into, for a person who asked for stillness."""

    def open_as(person: Person | None) -> Page:
        return open_page("/sign-in/", person, bypass_csp=True, has_touch=True, reduced_motion="reduce")

    return open_as


def said(wrong: list[tuple[str, ...]]) -> str:
    return "\n".join(map(" · ".join, wrong))


def test_every_link_opens_a_page_that_says_what_it_is(people: dict[str, Person]):
    for role, person in people.items():
        client = Client()
        client.force_login(person)
        opened = pages_reached(client)

        assert {address: wrong for address, wrong in opened.items() if wrong} == {}, role
        assert len(opened) > 40


def test_every_page_fits_every_screen_and_every_thumb(people: dict[str, Person], opened):
    wrong = unfit_pages(opened(people["keeper"]), one_of_each_kind(people["keeper"]))

    assert not wrong, said(wrong)


def test_every_page_of_an_empty_studio_fits_and_bars_nobody(keeper: Person, opened, barriers):
    addresses = one_of_each_kind(keeper)
    page = opened(keeper)
    wrong = unfit_pages(page, addresses) + barred_pages(page, addresses, barriers)

    assert len(addresses) > 40
    assert not wrong, said(wrong)


def test_what_stands_outside_the_door_fits_and_bars_nobody(demo: None, opened, barriers):
    page = opened(None)
    wrong = unfit_pages(page, OUTSIDE) + barred_pages(page, OUTSIDE, barriers)

    assert not wrong, said(wrong)


def test_every_page_bars_nobody_by_day_and_by_night(people: dict[str, Person], opened, barriers):
    wrong = barred_pages(opened(people["keeper"]), one_of_each_kind(people["keeper"]), barriers)

    assert not wrong, said(wrong)


@pytest.mark.parametrize("width", [looking.WIDTHS[0], looking.WIDTHS[-1]])
def test_every_page_is_walked_by_keyboard_alone(people: dict[str, Person], opened, width):
    page = opened(people["keeper"])
    wrong = []
    for address in one_of_each_kind(people["keeper"]):
        looking.look_at(page, address, width)
        wrong += [(address, *one) for one in looking.lost_by_keyboard(page)]

    assert not wrong, said(wrong)


def unfit_pages(page: Page, addresses: Iterable[str]) -> list[tuple[str, ...]]:
    """What does not fit a screen or a thumb, and what the browser complains of."""
    wrong: list[tuple[str, ...]] = []

    def hear(told: ConsoleMessage) -> None:
        # A page that is not there says so by its status, and a file shown alone asks for an icon.
        if told.type == "error" and "404" not in told.text:
            wrong.append((page.url, told.text))

    page.on("console", hear)
    page.on("pageerror", lambda trouble: wrong.append((page.url, str(trouble))))
    for address in addresses:
        looking.look_at(page, address)
        wrong += [(address, *one) for one in looking.unfit(page)]
        wrong += [(address, *one) for one in looking.missed_by_thumbs(page)]
    return wrong


def barred_pages(
    page: Page, addresses: Iterable[str], barriers: Callable[..., Barriers]
) -> list[tuple[str, ...]]:
    """What keeps someone from using a page, on a phone and at a desk, in light and in dark."""
    wrong: list[tuple[str, ...]] = []
    for address in addresses:
        page.goto(address)
        for width, theme in product((looking.WIDTHS[0], looking.WIDTHS[-1]), ("light", "dark")):
            page.set_viewport_size({"width": width, "height": looking.HEIGHT})
            page.emulate_media(color_scheme=theme)
            looking.at_full_height(page)
            wrong += [(address, f"{width} px, {theme}", *one) for one in barriers(page, GOOD_PRACTICE)]
    return wrong
