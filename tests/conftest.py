"""The cast of people, the photo store of each test, and a browser."""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import hypothesis
import pytest
from django.conf import settings as django_settings
from django.test import Client
from playwright.sync_api import Browser, Page, expect, sync_playwright

from studio.models import Person
from studio.people.services import add_person
from studio.roles import Role

CHROMIUM_NAMES = ("chromium", "chromium-browser", "google-chrome")
# A loaded machine is slow, not wrong: what is waited for comes or does not.
PATIENCE_MS = 20_000
expect.set_options(timeout=PATIENCE_MS)
CHROMIUM_FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


# Measurements are programs of their own: read for doctests they would set this process up anew, database and all.
collect_ignore_glob = ["bench/*.py"]

# A page of examples takes longer on a busy machine; that is no fault of the code.
hypothesis.settings.register_profile("tests", deadline=None)
hypothesis.settings.load_profile("tests")

AXE = Path(__file__).parent / "vendor" / "axe" / "axe.min.js"
WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


@pytest.fixture(autouse=True)
def photo_store(settings: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """A photo store of this test's own."""
    folder = tmp_path / "photos"
    default = {**settings.STORAGES["default"], "OPTIONS": {"location": folder}}
    settings.PHOTO_DIR = folder
    settings.STORAGES = {**settings.STORAGES, "default": default}
    return folder


@pytest.fixture
def viewer(db: None) -> Person:
    """Reads results at the board."""
    return add_person("Vesna Vale", Role.VIEWER)


@pytest.fixture
def recorder(db: None) -> Person:
    """Glazes, fires, unloads."""
    return add_person("Rowan Reed", Role.RECORDER)


@pytest.fixture
def keeper(db: None) -> Person:
    """Runs the installation."""
    return add_person("Kit Kerr", Role.KEEPER)


@pytest.fixture
def stranger(db: None) -> Person:
    """Can sign in, but holds no role."""
    return Person.objects.create_user("stranger", name="Sandy Stranger")


def _signed_in(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


@pytest.fixture
def viewer_client(viewer: Person) -> Client:
    return _signed_in(viewer)


@pytest.fixture
def recorder_client(recorder: Person) -> Client:
    return _signed_in(recorder)


@pytest.fixture
def keeper_client(keeper: Person) -> Client:
    return _signed_in(keeper)


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """A real browser; a machine without one fails the test, as a skipped promise is no promise."""
    found = next(filter(None, map(shutil.which, CHROMIUM_NAMES)), None)
    assert found, "Chromium is missing. On Debian: sudo apt-get install chromium"
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=found, args=[*CHROMIUM_FLAGS])
        yield browser
        browser.close()


@pytest.fixture
def open_page(chromium: Browser, live_server, transactional_db: None) -> Iterator[Callable[..., Page]]:
    """Open a page of the running studio as someone: ``open_page("/preferences/", keeper, width=390)``."""
    contexts = []

    def open_as(
        path: str, person: Person | None = None, *, width: int = 1280, height: int = 900, **more
    ) -> Page:
        # What a service worker fetches no test can hold back; those about it allow it.
        more.setdefault("service_workers", "block")
        context = chromium.new_context(
            base_url=live_server.url, viewport={"width": width, "height": height}, **more
        )
        contexts.append(context)
        if person is not None:
            session = _signed_in(person).cookies[django_settings.SESSION_COOKIE_NAME].value
            cookie = {"name": django_settings.SESSION_COOKIE_NAME, "value": session, "url": live_server.url}
            context.add_cookies([cookie])
        page = context.new_page()
        page.set_default_timeout(PATIENCE_MS)
        page.goto(path)
        return page

    yield open_as
    for context in contexts:
        context.close()


@pytest.fixture
def barriers() -> Callable[..., list[tuple[str, str]]]:
    """What keeps someone from using a page: rules of WCAG 2.2 AA broken there, with the first place of each.

    The page must have been opened with ``bypass_csp=True``: the examiner is a script we do not serve. More of its
    rules by their tags: ``barriers(page, "best-practice")``.
    """

    def examine(page: Page, *more: str) -> list[tuple[str, str]]:
        page.evaluate(AXE.read_text(encoding="utf-8"))
        found = page.evaluate("tags => axe.run(document, {runOnly: tags})", [*WCAG, *more])
        return [(rule["id"], rule["nodes"][0]["html"][:160]) for rule in found["violations"]]

    return examine
