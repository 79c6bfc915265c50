"""Bursts and folders in a real browser: all that was taken arrives, once, and is sorted by keyboard at speed."""

import random
import re

import pytest
from playwright.sync_api import expect

from tests.factories import FiringFactory, PhotoFilingFactory, PlacementFactory, TileFactory
from tests.tiles.photos import corpus
from tiles.models import Photo

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

RECEIVE = "**/photos/receive/?*"
BURST = 60
FAILING_SHARE = 0.3


def picture(n: int) -> dict[str, object]:
    return {"name": f"IMG_{n:04}.jpg", "mimeType": "image/jpeg", "buffer": corpus.noisy_jpeg(16, 12, seed=n)}


def failures(seed: int) -> dict[str, list[str]]:
    """For each photo how its first tries fail, drawn once: on the way there, on the way back, by the machine."""
    draw = random.Random(seed)
    found: dict[str, list[str]] = {}
    for n in range(BURST):
        tries = found.setdefault(f"IMG_{n:04}.jpg", [])
        while draw.random() < FAILING_SHARE and len(tries) < 3:
            tries.append(draw.choice(["there", "back", "machine"]))
    return found


def test_sixty_photos_through_a_link_that_fails_three_of_ten_arrive_once_each(open_page, recorder):
    page = open_page("/photos/burst/", recorder, width=390, height=844, has_touch=True)
    left, tries = failures(seed=6), 0

    def flaky(route) -> None:
        nonlocal tries
        tries += 1
        name = re.search(r"name=(IMG_\d+\.jpg)", route.request.url)[1]
        match left[name].pop(0) if left[name] else None:
            case "there":
                route.abort()
            case "back":  # stored, but the phone never hears of it
                route.fetch()
                route.abort()
            case "machine":
                route.fulfill(status=500, body="trouble")
            case None:
                route.continue_()

    failing = sum(map(len, left.values()))
    page.route(RECEIVE, flaky)
    page.locator("input[type=file]").set_input_files([picture(n) for n in range(BURST)])

    expect(page.locator("[data-photo-queue-count]")).to_have_text(
        "60 photos: 60 in the sorting tray", timeout=60_000
    )
    assert Photo.objects.count() == BURST
    assert tries == BURST + failing
    assert failing / tries == pytest.approx(FAILING_SHARE, abs=0.01)
    expect(page.locator(".camera-bar")).to_be_hidden()


def test_of_a_folder_the_pictures_are_sent_and_the_rest_is_named_with_the_reason(
    open_page, recorder, tmp_path
):
    folder = tmp_path / "unloaded"
    (folder / "second shelf").mkdir(parents=True)
    for n, name in enumerate(["IMG_2.jpg", "IMG_10.JPG", "second shelf/IMG_3.png"]):
        (folder / name).write_bytes(corpus.noisy_jpeg(16, 12, seed=n))
    (folder / "notes.txt").write_text("glazed on Tuesday")
    (folder / "IMG_4.mov").write_bytes(b"film")
    (folder / "IMG_5.tif").write_bytes(b"II*\0")
    (folder / "IMG_6.jpg").touch()
    page = open_page("/photos/", recorder)

    page.locator("input[webkitdirectory]").set_input_files(folder)

    expect(page.locator("[data-photo-queue-count]")).to_have_text("3 photos: 3 in the sorting tray")
    left_out = page.locator(".camera-left-out")
    expect(left_out.locator("summary")).to_have_text("4 files were left out")
    for words in (
        "notes.txt: not a picture",
        "IMG_4.mov: a film",
        "IMG_5.tif: a kind of picture not kept",
        "IMG_6.jpg: empty",
    ):
        expect(left_out).to_contain_text(words)
    assert sorted(Photo.objects.values_list("original_name", flat=True)) == [
        "IMG_10.JPG",
        "IMG_2.jpg",
        "IMG_3.png",
    ]


DROP = """files => {
    const transfer = new DataTransfer();
    for (const [name, type] of files) transfer.items.add(new File([name], name, { type }));
    document.body.dispatchEvent(new DragEvent("drop", { dataTransfer: transfer, bubbles: true, cancelable: true }));
}"""


def test_what_is_dropped_beside_the_form_is_taken_and_what_is_no_picture_is_named(open_page, recorder):
    page = open_page("/photos/", recorder)
    page.route(RECEIVE, lambda route: route.abort())

    page.evaluate(DROP, [["a.jpg", "image/jpeg"], ["b.heic", ""], ["c.doc", "application/msword"]])

    expect(page.locator(".camera-photo")).to_have_count(2)
    expect(page.locator(".camera-left-out")).to_contain_text("c.doc: not a picture")


@pytest.fixture
def firing():
    """A firing of four tiles, the first of them photographed."""
    firing = FiringFactory(fired=True)
    placements = [PlacementFactory(firing=firing, tile=TileFactory(number=3001 + n)) for n in range(4)]
    PhotoFilingFactory(tile=placements[0].tile, placement=placements[0])
    return [placement.tile for placement in placements]


def test_photos_are_sorted_by_keyboard_alone_and_undone(open_page, recorder, stored, firing):
    photos = [stored() for _ in range(3)]
    page = open_page("/photos/sort/", recorder)
    number = page.locator("[data-sorting] [data-tile-number]")
    waiting = page.locator(".sorting-why")
    expect(number).to_be_focused()

    page.keyboard.type("3002-1")  # the right digit is another
    page.keyboard.press("Enter")
    expect(number).to_have_value("3002-1")
    expect(waiting).to_contain_text("3 photos wait")

    number.fill("")
    page.keyboard.type(firing[1].label)
    page.keyboard.press("Enter")
    expect(waiting).to_contain_text("2 photos wait")
    expect(number).to_be_focused()
    page.keyboard.press("s")
    expect(page.locator("[data-key=s]")).to_have_attribute("href", re.compile(photos[1].sha256))
    expect(number).to_be_focused()
    page.keyboard.type(firing[2].label)
    page.keyboard.press("Enter")
    expect(waiting).to_contain_text("one photo waits")
    assert photos[2].filings.get().tile == firing[2]

    page.keyboard.press("u")
    expect(waiting).to_contain_text("2 photos wait")
    page.keyboard.press("Backspace")
    expect(waiting).to_contain_text("3 photos wait")
    assert Photo.objects.unfiled().count() == 3


def test_a_suggestion_is_filed_by_its_letter(open_page, recorder, stored, firing):
    PhotoFilingFactory(photo=stored(), tile=firing[0], placement=firing[0].placements.get())
    photo = stored()
    page = open_page("/photos/sort/", recorder)
    expect(page.locator(".sorting-choice").first).to_contain_text(
        f"perhaps, next on the list after {firing[0].label}"
    )

    page.keyboard.press("a")

    expect(page.get_by_text("The tray is empty")).to_be_visible()
    assert photo.filings.get().tile == firing[1]


def test_ticked_photos_are_filed_together(open_page, recorder, stored):
    tile = TileFactory()
    for _ in range(3):
        stored()
    page = open_page("/photos/", recorder)
    expect(page.locator("#together")).to_be_hidden()

    ticks = page.get_by_label("Choose this photo")
    ticks.nth(0).check()
    ticks.nth(2).click(modifiers=["Shift"])
    expect(page.locator("#together")).to_contain_text("The 3 ticked photos all show tile")
    page.locator("#together [data-tile-number]").fill(tile.label)
    page.keyboard.press("Enter")

    expect(page.get_by_text("The tray is empty")).to_be_visible()
    page.get_by_role("button", name="Undo").click()
    expect(page.locator(".tray-photo")).to_have_count(3)


@pytest.mark.parametrize(("width", "scheme"), [(390, "light"), (1280, "dark")])
def test_sorting_pages_are_open_to_everyone(open_page, recorder, stored, firing, barriers, width, scheme):
    PhotoFilingFactory(photo=stored(), tile=firing[0], placement=firing[0].placements.get())
    stored()
    found = []
    page = open_page("/photos/", recorder, width=width, color_scheme=scheme, bypass_csp=True)
    page.get_by_label("Choose this photo").first.check()
    for path in ("", "/photos/sort/", "/photos/runs/", "/photos/burst/"):
        if path:
            page.goto(path)
        found += barriers(page)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), path

    assert found == []
