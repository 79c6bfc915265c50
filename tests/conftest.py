"""The cast of people, the photo store of each test, and a browser."""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from django.conf import settings as django_settings
from django.test import Client
from playwright.sync_api import Browser, Page, sync_playwright

from studio.models import Person
from studio.people.services import add_person
from studio.roles import Role

CHROMIUM_NAMES = ("chromium", "chromium-browser", "google-chrome")
CHROMIUM_FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


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
        context = chromium.new_context(
            base_url=live_server.url, viewport={"width": width, "height": height}, **more
        )
        contexts.append(context)
        if person is not None:
            session = _signed_in(person).cookies[django_settings.SESSION_COOKIE_NAME].value
            cookie = {"name": django_settings.SESSION_COOKIE_NAME, "value": session, "url": live_server.url}
            context.add_cookies([cookie])
        page = context.new_page()
        page.goto(path)
        return page

    yield open_as
    for context in contexts:
        context.close()
