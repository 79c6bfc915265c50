"""Walking a studio from page to page by its links, as a person would who presses everything once."""

from collections import Counter, deque
from collections.abc import Callable
from html.parser import HTMLParser
from typing import Any
from urllib.parse import parse_qs, urljoin, urlsplit

from django.test import Client
from django.urls import resolve

from studio.models import Person

# Pages of one kind that are opened: more of them show more records, not another page.
OF_A_KIND = 2
# What opens as something else than a page.
FILES = (".pdf", ".jpg", ".csv", ".xlsx", ".json", ".zip", "/original/")


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


def name_of(address: str) -> str:
    """Which page of the site map it is, whatever it is asked."""
    return resolve(urlsplit(address).path).view_name


def pages_reached(client: Client, kind: Callable[[str], str] = kind_of) -> dict[str, str]:
    """Follow every link from the first page; each address opened, with what is wrong there."""
    opened: dict[str, str] = {}
    of_kind: Counter[str] = Counter()
    ahead = deque(["/"])
    while ahead:
        address = ahead.popleft()
        if address in opened or of_kind[kind(address)] >= OF_A_KIND:
            continue
        of_kind[kind(address)] += 1
        opened[address], links = what_stands_at(client, address)
        ahead.extend(links)
    return opened


def what_stands_at(client: Client, address: str) -> tuple[str, list[str]]:
    answer = client.get(address, follow=True)
    if answer.status_code != 200:
        return f"answers {answer.status_code}", []
    if not _is_page(answer):
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


def one_of_each_kind(person: Person) -> list[str]:
    """The first page of each kind that links lead a person to."""
    client = Client()
    client.force_login(person)
    first = {kind_of(address).split()[0]: address for address in reversed(pages_reached(client))}
    pages = (address for address in first.values() if not address.split("?")[0].endswith(FILES))
    return [address for address in pages if _is_page(client.get(address, follow=True))]


def _is_page(answer: Any) -> bool:
    return answer.headers["Content-Type"].startswith("text/html")
