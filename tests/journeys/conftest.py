"""The two sizes of screen people do the job on, and a thumb that counts its taps."""

from collections.abc import Callable
from functools import partial

import pytest
from playwright.sync_api import Locator, Page

# A phone of common size, held upright; and a small laptop.
PHONE = {"width": 390, "height": 844, "has_touch": True, "is_mobile": True, "device_scale_factor": 2}
DESK = {"width": 1280, "height": 800}


class Thumb:
    """Taps things on a phone's page and counts the taps."""

    def __init__(self) -> None:
        self.taps = 0

    def tap(self, thing: Locator) -> None:
        thing.tap()
        self.taps += 1


@pytest.fixture
def phone(open_page: Callable[..., Page]) -> Callable[..., Page]:
    """Open a page on a phone as someone: ``phone("/firings/", recorder)``."""
    return partial(open_page, **PHONE)


@pytest.fixture
def desk(open_page: Callable[..., Page]) -> Callable[..., Page]:
    """Open a page at a desk as someone."""
    return partial(open_page, **DESK)


@pytest.fixture
def thumb() -> Thumb:
    return Thumb()
