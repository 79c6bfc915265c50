"""The whole job in a real browser, on a phone and at a desk.

Describe a tile in the coat grid, make forty from one pattern, load them, unload, photograph and judge them, find them
by body and cone, read one tile's conditions, print its card and labels, and scan a label back to its page.
"""

import re
from pathlib import Path
from urllib.parse import urlsplit

import pypdfium2
import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Page, expect

from studio.models import StudioPreferences
from tests.factories import ClayBodyFactory, GlazeFactory, KilnFactory, ShelfFactory, TileFormFactory
from tests.pictures import tile_photo
from tiles import numbers
from tiles.models import Outcome, Photo, PhotoFiling, Tile

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

CAMERA_FILES = sorted((Path(__file__).parents[2].parent / "shared" / "photos").glob("portrait_*.jpg"))
# What the studio's phones open; the printed codes carry it.
ADDRESS = "http://192.168.178.20:8000"
BODIES = ("Chalk", "Dune", "Raven", "Tern")
SIZES = pytest.mark.parametrize(("width", "height"), [(390, 844), (1280, 900)], ids=["phone", "desk"])


@pytest.fixture
def shelves_of_the_studio():
    """What a studio has before its first tile: clay, glaze, a form, a kiln with two shelves."""
    for name in BODIES:
        ClayBodyFactory(name=name, speckled=name == "Dune", cone_low_order=28, cone_high_order=34)
    GlazeFactory(name="Flux L", kind="flux")
    GlazeFactory(name="Harbour", surface="satin", opacity="opaque", cone_low_order=28, cone_high_order=30)
    TileFormFactory(name="Three bands")
    kiln = KilnFactory(name="Oriel")
    for position in (1, 2):
        ShelfFactory(kiln=kiln, position=position)
    StudioPreferences.objects.create(address=ADDRESS)


def fill_the_coat_grid(page: Page) -> None:
    """Flux L under band 3, Harbour over all in rising coats; forty tiles, ten on each body."""
    page.get_by_label("Form", exact=True).select_option(label="Three bands")
    page.get_by_role("combobox", name="Clay body").select_option(label="Chalk")
    page.get_by_label("For cone").fill("6")
    layers = page.locator("[data-layer]")
    layers.first.get_by_label("Glaze of this layer").select_option(label="Flux L")
    layers.first.locator("[data-coats='band 3']").fill("1")
    page.get_by_role("button", name="Layer on top").click()
    expect(layers).to_have_count(2)
    top = layers.first
    top.get_by_label("Glaze of this layer").select_option(label="Harbour")
    for band in (1, 2, 3):
        top.locator(f"[data-coats='band {band}']").fill(str(band))
    page.get_by_label(re.compile("Tiles, or tiles of each")).fill("10")
    page.get_by_role("radio", name="the body").check()
    for body in BODIES:
        page.get_by_role("checkbox", name=body, exact=True).check()
    page.get_by_role("button", name=re.compile("^Keep")).last.click()


def plan_and_load(page: Page) -> None:
    """A firing to cone 6 with everything that waits put in."""
    page.goto("/firings/new/")
    page.get_by_role("combobox", name="Kiln").select_option(label="Oriel")
    page.get_by_label("Target cone").fill("6")
    page.get_by_role("button", name="Plan it").click()
    expect(page.locator("h1")).to_contain_text("F-0001")
    page.get_by_role("link", name="Load it").first.click()
    for box in page.locator("input[name='tiles']:not([form])").all():
        box.check()
    page.get_by_role("button", name="Put in").click()
    expect(page.locator("main")).to_contain_text("40 tiles")


def fire(page: Page) -> None:
    """Everything in, the kiln fired."""
    page.get_by_role("button", name="All in: mark it loaded").click()
    page.get_by_role("button", name="Mark it fired").click()
    expect(page.locator("main")).to_contain_text("Reached cone")


def unload(page: Page, label: str, photo: Path) -> None:
    """Photograph one tile and judge it as it comes: nothing waits for the upload."""
    row = page.locator(f"#tile-{numbers.read(label)}")
    row.locator(".unload-summary").click()
    row.locator("input[type=file]").set_input_files(photo)
    row.get_by_role("button", name=re.compile("Keep")).click()


def scan_back(pdf: bytes, folder: Path) -> set[str]:
    """What the codes on all pages say, read from the pages as a 300 dpi printer sets them."""
    found = set()
    for number, sheet in enumerate(pypdfium2.PdfDocument(pdf)):
        image: Image.Image = sheet.render(scale=300 / 72).to_pil()
        image.save(folder / f"sheet-{number}.png")
        found |= {code.text for code in zxingcpp.read_barcodes(image)}
    return found


@SIZES
def test_tiles_out_of_the_kiln_found_again_and_printed(
    open_page, recorder, shelves_of_the_studio, tmp_path, width, height
):
    page: Page = open_page("/tiles/new/", recorder, width=width, height=height)

    fill_the_coat_grid(page)
    expect(page.locator("body")).to_contain_text("40")
    assert Tile.objects.count() == 40

    plan_and_load(page)
    fire(page)

    tile = Tile.objects.filter(body__name="Dune").order_by("number").first()
    photo = tile_photo(tmp_path / "one.jpg", seed=1)
    page.get_by_role("link", name="Unload and judge").click()
    unload(page, tile.label, photo)
    expect(page.locator("#unload-bar")).to_contain_text("1 of 40")
    expect(
        page.locator(f"#tile-{tile.number} .camera-queue, #tile-{tile.number} [data-photos]").first
    ).to_be_visible()
    page.wait_for_function(
        "() => document.querySelectorAll('img[src*=\"/photos/\"]').length > 0", timeout=15_000
    )
    assert PhotoFiling.objects.get().tile == tile
    assert Outcome.objects.filter(tile=tile).judged().count() == 3

    page.goto(f"/results/?body={tile.body.pk}&cone=6&judged=yes")
    expect(page.locator("body")).to_contain_text("3 results")
    line = page.locator(".conditions").first.inner_text()
    assert "on Dune" in line
    assert "target cone 6" in line

    page.get_by_role("link", name=re.compile("Harbour")).first.click()
    expect(page.locator("h1")).to_contain_text(tile.label)
    assert line in page.locator("main").inner_text()

    cards = page.request.get(f"/print/cards.pdf?tiles={tile.label}")
    words = pypdfium2.PdfDocument(cards.body())[0].get_textpage().get_text_bounded()
    assert tile.label in words
    assert "No claim about food use" in " ".join(words.split())

    labels = page.request.get("/print/labels.pdf?firing=1")
    codes = scan_back(labels.body(), tmp_path)
    assert len(codes) == 40
    scanned = next(code for code in codes if tile.label in code)
    assert scanned.lower().startswith(ADDRESS)
    page.goto(urlsplit(scanned).path)
    expect(page.locator("h1")).to_contain_text(tile.label)


@pytest.mark.skipif(not CAMERA_FILES, reason="the eight camera files are kept outside the repository")
@SIZES
def test_eight_camera_files_become_upright_photos_of_eight_tiles(
    open_page, recorder, shelves_of_the_studio, width, height
):
    page: Page = open_page("/tiles/new/", recorder, width=width, height=height)
    fill_the_coat_grid(page)
    plan_and_load(page)
    fire(page)
    page.get_by_role("link", name="Unload and judge").click()
    rows = page.locator("[data-row]")

    for place, file in enumerate(CAMERA_FILES):
        rows.nth(place).locator("input[type=file]").set_input_files(file)
    page.wait_for_function(
        "() => document.querySelectorAll(\"[data-photos] img[src*='/photos/']\").length >= 8",
        timeout=60_000,
    )

    assert PhotoFiling.objects.values("tile").distinct().count() == 8
    assert {(photo.width, photo.height) for photo in Photo.objects.all()} == {
        (Photo.objects.first().width, Photo.objects.first().height)
    }
