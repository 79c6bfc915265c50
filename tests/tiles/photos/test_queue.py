"""The queue on the phone, in a real browser: nothing waits for a photo, and no photo is lost on the way."""

import io
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import expect

from tests.factories import TileFactory
from tests.tiles.photos import corpus
from tiles.models import Photo
from tiles.photos import services

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

AXE = Path(__file__).resolve().parents[2] / "vendor" / "axe" / "axe.min.js"
CAMERA_FILES = Path(__file__).resolve().parents[4] / "shared" / "photos"
RECEIVE = "**/photos/receive/?*"
# More than one form, as on a page of many tiles; made from the tray's own.
MORE_FORMS = """labels => {
    const form = document.querySelector('form[data-photo-queue]');
    for (const label of labels) {
        const copy = form.cloneNode(true);
        copy.id = `tile-${label}`;
        copy.insertAdjacentHTML('afterbegin', `<input type="hidden" name="tile" value="${label}">`);
        document.querySelector('main').append(copy);
    }
}"""

# The queue tries again, and asks what became of a photo, after ever longer waits.
LONGER_MS = 60_000


def picture(name: str = "IMG_0001.jpg", content: bytes | None = None) -> dict[str, object]:
    """A file as a browser's file field holds it."""
    return {"name": name, "mimeType": "image/jpeg", "buffer": content or corpus.noisy_jpeg(640, 480)}


def take(page, *pictures: dict[str, object], form: str = "form[data-photo-queue]") -> None:
    page.locator(f"{form} input[type=file]").first.set_input_files(list(pictures) or [picture()])


@pytest.fixture
def tray(open_page, recorder):
    """The sorting tray on a phone."""
    return open_page("/photos/", recorder, width=390, height=844, has_touch=True)


def test_a_photo_is_seen_at_once_and_told_of_when_it_is_kept(tray):
    take(tray)

    expect(tray.locator(".camera-photo canvas")).to_be_visible()
    expect(tray.locator(".camera-photo")).to_contain_text("kept, in the sorting tray No tile code in view.")
    expect(tray.locator(".camera-photo")).to_have_attribute("data-state", "tray")
    assert Photo.objects.unfiled().count() == 1
    expect(tray.locator("[data-photo-tray-more]")).to_have_text("Show the photo that came in")


def test_the_tray_is_not_called_empty_below_a_photo_that_just_came_in(tray):
    empty = tray.get_by_role("heading", name="The tray is empty")
    expect(empty).to_be_visible()
    take(tray)

    expect(empty).to_be_hidden()
    expect(tray.locator(".camera-photo")).to_have_attribute("data-state", "tray", timeout=LONGER_MS)
    expect(empty).to_be_hidden()
    tray.locator("[data-photo-tray-more]").click()
    expect(tray.locator(".tray li")).to_have_count(1)


def test_the_tray_is_called_empty_again_once_what_came_in_is_with_its_tile(tray):
    tile = TileFactory()
    tray.evaluate(
        "label => document.querySelector('form[data-photo-queue]')"
        ".insertAdjacentHTML('afterbegin', `<input type=hidden name=tile value=${label}>`)",
        tile.label,
    )
    take(tray)

    expect(tray.locator(".camera-photo")).to_contain_text(f"kept with {tile.label}")
    expect(tray.get_by_role("heading", name="The tray is empty")).to_be_visible()


def test_a_photo_of_a_tile_is_filed_to_it(tray):
    tile = TileFactory()
    tray.evaluate(MORE_FORMS, [tile.label])
    take(tray, form=f"[id='tile-{tile.label}']")

    expect(tray.locator(".camera-photo")).to_contain_text(f"kept with {tile.label}")
    assert tile.photo_filings.count() == 1


def test_the_same_photo_for_a_second_tile_is_put_there_only_at_a_press(tray):
    first, second = TileFactory(), TileFactory()
    tray.evaluate(MORE_FORMS, [first.label, second.label])
    take(tray, form=f"[id='tile-{first.label}']")
    expect(tray.locator(".camera-photo")).to_contain_text(f"kept with {first.label}")
    take(tray, form=f"[id='tile-{second.label}']")

    again = tray.locator(f"[id='tile-{second.label}'] .camera-photo")
    expect(again).to_contain_text(f"This photo is on tile {first.label} already, so it was not put here.")
    assert second.photo_filings.count() == 0
    again.get_by_role("button", name="Put it here too").click()
    expect(again).to_contain_text(f"kept with {second.label}")
    assert (first.photo_filings.count(), second.photo_filings.count()) == (1, 1)


def test_the_page_goes_on_while_photos_are_sent_two_at_a_time(tray):
    held = []
    tray.route(RECEIVE, lambda route: held.append(route), times=2)
    take(tray, *(picture(f"{n}.jpg", corpus.noisy_jpeg(64, 48, seed=n)) for n in range(5)))

    # Photos come into the list one by one: three may wait before all five are there.
    expect(tray.locator(".camera-photo")).to_have_count(5)
    expect(tray.locator(".camera-photo[data-state=sending]")).to_have_count(2)
    expect(tray.locator(".camera-photo[data-state=waiting]")).to_have_count(3)
    for route in held:
        route.continue_()
    expect(tray.locator(".camera-photo[data-state=tray]")).to_have_count(5, timeout=LONGER_MS)
    assert Photo.objects.count() == 5


def test_a_file_that_is_no_photo_is_refused_with_the_reason_and_can_be_put_away(tray):
    take(tray, picture("notes.jpg", b"glazed on Tuesday"))

    item = tray.locator(".camera-photo")
    expect(item).to_contain_text("notes.jpg was not kept. This is not a picture that can be read")
    item.get_by_role("button", name="Put away").click()
    expect(item).to_have_count(0)
    tray.reload()
    expect(item).to_have_count(0)


def test_without_a_network_photos_stay_on_the_phone_and_go_when_it_is_back(tray):
    tray.context.set_offline(True)
    take(tray, picture(), picture("b.jpg", corpus.noisy_jpeg(64, 48)))

    expect(tray.locator(".camera-photo[data-state=again]")).to_have_count(2)
    expect(tray.locator(".camera-bar")).to_contain_text("2 photos still on this")
    assert Photo.objects.count() == 0

    tray.context.set_offline(False)
    expect(tray.locator(".camera-photo[data-state=tray]")).to_have_count(2, timeout=LONGER_MS)
    expect(tray.locator(".camera-bar")).to_be_hidden()
    assert Photo.objects.count() == 2


def test_photos_outlive_a_reload(tray):
    tray.route(RECEIVE, lambda route: route.abort())
    take(tray)
    expect(tray.locator(".camera-photo[data-state=again]")).to_have_count(1)
    tray.on("dialog", lambda dialog: dialog.accept())
    tray.reload()

    expect(tray.locator(".camera-photo canvas")).to_be_visible()
    tray.unroute(RECEIVE)
    expect(tray.locator(".camera-photo[data-state=tray]")).to_have_count(1, timeout=LONGER_MS)
    assert Photo.objects.count() == 1


def test_leaving_while_a_photo_is_not_sent_asks_first(tray):
    tray.route(RECEIVE, lambda route: route.abort())
    asked = []
    tray.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept()))
    take(tray)
    expect(tray.locator(".camera-photo[data-state=again]")).to_have_count(1)
    tray.goto("about:blank")

    assert asked == ["beforeunload"]


def test_going_on_within_the_studio_does_not_ask(tray, stored):
    stored()
    tray.reload()
    tray.route(RECEIVE, lambda route: route.abort())
    asked = []
    tray.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept()))
    take(tray)
    expect(tray.locator(".camera-photo[data-state=again]")).to_have_count(1)
    tray.locator(".brand").click()
    tray.wait_for_load_state()

    assert asked == []


def test_who_was_signed_out_meanwhile_loses_no_photo(tray):
    cookies = tray.context.cookies()
    tray.context.clear_cookies()
    take(tray)

    expect(tray.locator(".camera-photo")).to_contain_text("sign in again to send it")
    expect(tray.locator(".camera-bar").get_by_role("link", name="Sign in")).to_be_visible()
    tray.context.add_cookies(cookies)
    tray.locator(".camera-bar").get_by_role("button", name="Send now").click()
    expect(tray.locator(".camera-photo[data-state=tray]")).to_have_count(1)


def test_a_studio_in_trouble_is_tried_again(tray):
    tray.route(RECEIVE, lambda route: route.fulfill(status=500, body="trouble"))
    take(tray)
    expect(tray.locator(".camera-photo[data-state=again]")).to_have_count(1)

    tray.unroute(RECEIVE)
    expect(tray.locator(".camera-photo[data-state=tray]")).to_have_count(1, timeout=10_000)


def test_without_scripts_the_form_sends_the_photo(open_page, recorder):
    page = open_page("/photos/", recorder, java_script_enabled=False)
    take(page)
    page.get_by_role("button", name="Send", exact=True).click()

    expect(page.locator(".tray-photo")).to_have_count(1)
    assert Photo.objects.count() == 1


def test_sorting_goes_on_to_the_next_photo_by_itself(tray, stored):
    one, other = TileFactory(), TileFactory()
    stored(), stored()
    tray.reload()
    tray.locator("[data-tile-number]:visible").nth(0).focus()
    first = tray.locator(".tray-photo [data-tile-number]").first
    first.fill(one.label)
    first.press("Enter")
    expect(tray.locator(".tray-photo")).to_have_count(1)
    tray.keyboard.type(other.label)
    tray.keyboard.press("Enter")

    expect(tray.get_by_text("The tray is empty")).to_be_visible()
    assert one.photo_filings.count() == other.photo_filings.count() == 1
    tray.get_by_role("button", name="Undo").click()
    expect(tray.locator(".tray-photo")).to_have_count(1)


def test_a_photo_opens_close_up_and_goes_nearer_by_wheel_and_keys(tray, stored):
    stored(corpus.noisy_jpeg(1600, 1200))
    tray.reload()
    tray.locator("a[data-photo-zoom]").first.click()
    view = tray.locator("dialog.zoom .close-up-view")
    expect(view.locator("img")).to_be_visible()

    view.hover()
    tray.mouse.wheel(0, -400)
    expect(view).to_have_attribute("data-close-up", "near")
    tray.keyboard.press("0")
    expect(view).to_have_attribute("data-close-up", "whole")
    tray.keyboard.press("+")
    expect(tray.locator("dialog.zoom output")).to_have_text("140 %")
    tray.keyboard.press("Escape")
    expect(tray.locator("dialog.zoom")).to_be_hidden()
    assert tray.evaluate("document.activeElement.matches('a[data-photo-zoom]')")


def test_two_fingers_bring_a_photo_nearer(tray, stored):
    photo = stored(corpus.noisy_jpeg(1600, 1200))
    tray.goto(f"/photos/{photo.sha256}/")
    view = tray.locator("[data-close-up]")
    expect(view).to_have_attribute("data-close-up", "whole")
    pinch = """view => {
        const box = view.getBoundingClientRect();
        const touch = (type, id, x) => view.dispatchEvent(new PointerEvent(type, {
            pointerId: id, pointerType: 'touch', clientX: box.x + x, clientY: box.y + 100, bubbles: true }));
        touch('pointerdown', 1, 100); touch('pointerdown', 2, 140);
        touch('pointermove', 1, 60); touch('pointermove', 2, 180);
    }"""
    tray.evaluate("Element.prototype.setPointerCapture = () => {}")  # there is no finger to capture
    view.evaluate(pinch)

    # 40 px apart at first, 120 px at last
    expect(tray.locator("output")).to_have_text("300 %")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_tray_close_up_and_photo_page_are_open_to_everyone(open_page, recorder, stored, scheme, width):
    photo = stored(corpus.noisy_jpeg(1200, 1600), tile=TileFactory())
    stored()
    page = open_page("/photos/", recorder, width=width, color_scheme=scheme)
    take(page, picture("notes.jpg", b"glazed on Tuesday"))
    expect(page.locator(".camera-photo[data-state=refused]")).to_have_count(1)
    found = violations(page)
    page.locator("a[data-photo-zoom]").first.click()
    found += violations(page)
    page.goto(f"/photos/{photo.sha256}/")
    found += violations(page)

    assert found == []


def violations(page) -> list[tuple[str, str]]:
    """What axe-core finds against WCAG 2.2 AA, and whether the page is wider than the window."""
    page.evaluate(AXE.read_text())
    found = page.evaluate("axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa']})")
    wide = (
        []
        if page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        else [("too wide", page.url)]
    )
    return wide + [(rule["id"], rule["nodes"][0]["html"]) for rule in found["violations"]]


@pytest.mark.skipif(not CAMERA_FILES.exists(), reason="the eight camera files are not at hand")
def test_the_eight_camera_files_become_photos_of_eight_tiles_all_upright(tray):
    tiles = [TileFactory() for _ in range(8)]
    tray.evaluate(MORE_FORMS, [tile.label for tile in tiles])
    for tile, path in zip(tiles, sorted(CAMERA_FILES.glob("portrait_*.jpg")), strict=True):
        tray.locator(f"[id='tile-{tile.label}'] input[type=file]").first.set_input_files(path)
    expect(tray.locator(".camera-photo[data-state=filed]")).to_have_count(8, timeout=20_000)

    for tile in tiles:
        photo = tile.photo_filings.get().photo
        shown = Image.open(io.BytesIO(services.rendition_path(photo, "medium").read_bytes()))
        assert shown.height > shown.width
        assert photo.height > photo.width
