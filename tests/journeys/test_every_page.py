"""Every page that links lead to, in the demo studio: it answers, says what it is, fits, and bars nobody."""

from collections import Counter, deque
from collections.abc import Callable
from html.parser import HTMLParser
from typing import Literal
from urllib.parse import parse_qs, urljoin, urlsplit

import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import resolve
from playwright.sync_api import ConsoleMessage, Page, ViewportSize

from studio.models import Person

pytestmark = [pytest.mark.browser, pytest.mark.sweep, pytest.mark.django_db(transaction=True)]

# Pages of one kind that are opened: more of them show more records, not another page.
OF_A_KIND = 2
# Contrast does not depend on the width, nor the size of targets on the theme: two of the four ways show all.
LOOKS: dict[str, tuple[ViewportSize, Literal["light", "dark"]]] = {
    "phone": ({"width": 390, "height": 844}, "light"),
    "small phone": ({"width": 360, "height": 740}, "dark"),
    "desk": ({"width": 1280, "height": 900}, "dark"),
}


class Reading(HTMLParser):
    """What a page says of itself, and where it leads."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.title = ""
        self.headings = 0
        self._in_title = False
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        there = dict(attrs)
        self.headings += tag == "h1"
        # An SVG names its parts with <title> too; the page's own comes first.
        self._in_title = tag == "title" and not self.title
        if tag == "a" and there.get("href"):
            self.links.append(str(there["href"]))

    def handle_endtag(self, tag: str) -> None:
        self._in_title = self._in_title and tag != "title"

    def handle_data(self, data: str) -> None:
        if self._in_title:
            self.title += data


def kind_of(address: str) -> str:
    """Which page of the site map it is, and which questions it is asked."""
    asked = sorted(parse_qs(urlsplit(address).query, keep_blank_values=True))
    return " ".join([resolve(urlsplit(address).path).view_name, *asked])


def pages_reached(client: Client) -> dict[str, str]:
    """Follow every link from the first page; each address opened, with what is wrong there."""
    opened: dict[str, str] = {}
    of_kind: Counter[str] = Counter()
    ahead = deque(["/"])
    while ahead:
        address = ahead.popleft()
        if address in opened or of_kind[kind_of(address)] >= OF_A_KIND:
            continue
        of_kind[kind_of(address)] += 1
        opened[address], links = what_stands_at(client, address)
        ahead.extend(links)
    return opened


def what_stands_at(client: Client, address: str) -> tuple[str, list[str]]:
    answer = client.get(address, follow=True)
    if answer.status_code != 200:
        return f"answers {answer.status_code}", []
    if not answer.headers["Content-Type"].startswith("text/html"):
        return "", []
    page = Reading(answer.content.decode())
    wrong = [] if page.headings == 1 else [f"{page.headings} main headings"]
    if not page.title.split("·")[0].strip():
        wrong.append("no title")
    return ", ".join(wrong), [within for link in page.links if (within := _within(address, link))]


def _within(address: str, link: str) -> str:
    """The address in the studio that a link leads to; nothing for a place on the same page."""
    to = urlsplit(urljoin(f"http://studio{address}", link))
    if link.startswith("#") or to.netloc != "studio" or to.path.startswith("/static/"):
        return ""
    return to.path + (f"?{to.query}" if to.query else "")


@pytest.fixture
def demo(transactional_db: None) -> None:
    call_command("demo", every=8, processes=0, verbosity=0)


@pytest.fixture
def people(demo: None, keeper: Person, recorder: Person, viewer: Person) -> dict[str, Person]:
    return {"keeper": keeper, "recorder": recorder, "viewer": viewer}


def test_every_link_opens_a_page_that_says_what_it_is(people: dict[str, Person]):
    for role, person in people.items():
        client = Client()
        client.force_login(person)
        opened = pages_reached(client)

        assert {address: wrong for address, wrong in opened.items() if wrong} == {}, role
        assert len(opened) > 40


def test_every_page_fits_phone_and_desk_and_bars_nobody(
    people: dict[str, Person],
    open_page: Callable[..., Page],
    barriers: Callable[[Page], list[tuple[str, str]]],
):
    client = Client()
    client.force_login(people["keeper"])
    first_of_kind = {kind_of(address).split()[0]: address for address in reversed(pages_reached(client))}
    page = open_page("/", people["keeper"], bypass_csp=True)
    wrong: list[tuple] = []

    def hear(said: ConsoleMessage) -> None:
        if said.type == "error":
            wrong.append((page.url, said.text))

    page.on("console", hear)
    page.on("pageerror", lambda trouble: wrong.append((page.url, str(trouble))))

    for address in first_of_kind.values():
        if not address.split("?")[0].endswith((".pdf", ".jpg", ".csv", ".xlsx", "/original/")):
            wrong += seen_wrong(page, address, barriers)

    assert not wrong, "\n".join(map(str, wrong))


def seen_wrong(page: Page, address: str, barriers: Callable[[Page], list[tuple[str, str]]]) -> list[tuple]:
    """What is wrong with a page on a phone and at a desk."""
    wrong: list[tuple] = []
    page.goto(address)
    for look, (screen, theme) in LOOKS.items():
        page.set_viewport_size(screen)
        page.emulate_media(color_scheme=theme)
        if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
            wrong.append((address, look, "wider than the screen"))
        if look != "small phone":
            # All of it at once: what lies under a bar that stays can be scrolled free, and is no barrier.
            height = page.evaluate("document.documentElement.scrollHeight")
            page.set_viewport_size({"width": screen["width"], "height": height})
            wrong += [(address, look, *barrier) for barrier in barriers(page)]
    return wrong
