"""A photo that is still being prepared: a quiet grey in its place, and the photo as soon as it is there."""

import io

import pytest
from playwright.sync_api import expect

from studio.management.commands.worker import StudioWorker
from tests.studio.work.conftest import listed  # noqa: F401
from tests.tiles.photos import corpus
from tiles.photos.services import store_photo

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.mark.usefixtures("listed")
def test_a_quiet_grey_stands_for_it_which_no_browser_keeps(recorder, recorder_client):
    photo = store_photo(io.BytesIO(corpus.jpeg()), by=recorder)
    before = recorder_client.get(f"/photos/{photo.sha256}/small.jpg")
    StudioWorker(batch=True).run()
    after = recorder_client.get(f"/photos/{photo.sha256}/small.jpg")

    assert (before["Content-Type"], before["Cache-Control"]) == ("image/svg+xml", "no-store")
    assert (after["Content-Type"], "immutable" in after["Cache-Control"]) == ("image/jpeg", True)


@pytest.mark.browser
@pytest.mark.usefixtures("listed")
def test_a_page_shows_the_photo_as_soon_as_a_worker_has_made_it(recorder, open_page):
    photo = store_photo(io.BytesIO(corpus.noisy_jpeg(640, 480)), by=recorder)
    page = open_page(f"/photos/{photo.sha256}/", recorder)
    shown = page.locator("main img").first
    expect(shown).to_have_attribute("data-awaited", "")
    StudioWorker(batch=True).run()

    page.wait_for_function("() => document.querySelector('main img').naturalWidth === 640")
