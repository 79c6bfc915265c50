"""The pictures of the README's tour, made from the demo studio so that they stay true: ``python -m tests.tour``.

A studio of its own is loaded with the demo, served on a free port, and opened in a browser; prints are drawn from
their PDFs. ``--data FOLDER`` takes a demo studio that is there already.
"""

import argparse
import os
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path
from shutil import which
from urllib.request import urlopen

import pypdfium2
from PIL import Image
from playwright.sync_api import Page, sync_playwright

ROOT = Path(__file__).parents[1]
TO = ROOT / "docs" / "tour"
LARGEST_BYTES = 150_000
CHROMIUM_NAMES = ("chromium", "chromium-browser", "google-chrome")
CHROMIUM_FLAGS = ("--no-sandbox", "--disable-gpu")
KEEPER = "Maren Oduhl"
DESK = {"viewport": {"width": 1280, "height": 820}}
PHONE = {
    "viewport": {"width": 390, "height": 844},
    "device_scale_factor": 2,
    "is_mobile": True,
    "has_touch": True,
}

Way = Callable[[Page], None]


def first_firing_to_judge(page: Page) -> None:
    """From the first page to the firing that waits to be unloaded, its first tile open."""
    page.goto("/firings/15/unload/")
    page.goto(page.locator('a[href*="?at="]').first.evaluate("link => link.href"))


def filtered_results(page: Page) -> None:
    page.goto("/results/?glaze=1&cone=6")


def one_tile(page: Page) -> None:
    page.goto("/tiles/1058-8/")


def a_plan(page: Page) -> None:
    page.goto(
        "/plans/new/?name=Harbour+on+three+clays&glaze=1&body=1&body=2&body=5&form=1&cone=5&cone=6&coats=1+to+3"
    )
    page.wait_for_timeout(1500)


def to(address: str) -> Way:
    return lambda page: page.goto(address) and None


# File name, screen, the way to the page. The demo is the same each time, so addresses are.
SCREENS: tuple[tuple[str, dict, Way], ...] = (
    ("waiting", DESK, to("/")),
    ("unload", PHONE, first_firing_to_judge),
    ("results", DESK, filtered_results),
    ("tile", DESK, one_tile),
    ("range-sheet", DESK, to("/catalogue/glazes/1/range/")),
    ("answer", PHONE, to("/answers/?glaze=1&body=2&cone=6&coats=2")),
    ("plan", DESK, a_plan),
    ("load", DESK, to("/firings/16/load/")),
    ("firing", DESK, to("/firings/14/")),
    ("board", DESK, to("/boards/1/")),
)

# File name, address of the PDF, width in pixels.
PRINTS = (
    ("card", "/print/cards.pdf?tiles=1058-8,1089-4&size=large&paper=A4", 760),
    (
        "labels",
        "/print/labels.pdf?stock=a4-3x8-63.5x33.9-mm&codes=yes&start=5&tiles="
        + "1127-9,1138-8,1015-9,1134-2,1058-8,1016-8,1143-0,1052-7,1140-1,1139-1,1135-0,1136-9",
        760,
    ),
)


def keep(picture: Image.Image, name: str) -> None:
    """Write it small: as good as fits into the bound."""
    for quality in range(88, 30, -6):
        written = BytesIO()
        picture.convert("RGB").save(written, "WEBP", quality=quality, method=6)
        if written.tell() <= LARGEST_BYTES:
            break
    else:
        sys.exit(f"{name} does not fit into {LARGEST_BYTES} bytes.")
    TO.mkdir(parents=True, exist_ok=True)
    (TO / f"{name}.webp").write_bytes(written.getvalue())
    print(f"{name}.webp {picture.width} × {picture.height}, {written.tell() // 1000} kB")


def manage(*words: str, environment: dict[str, str]) -> None:
    subprocess.run(
        [sys.executable, "manage.py", *words], cwd=ROOT, env=environment, check=True, stdout=sys.stderr
    )


@contextmanager
def studio(data: str | None) -> Iterator[str]:
    """A demo studio that is served; its address."""
    with tempfile.TemporaryDirectory() as folder, socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
        free.close()
        environment = {
            **os.environ,
            "TILEWRIGHT_DATA": data or folder,
            "TILEWRIGHT_WITHOUT_PASSWORDS": "1",
            "TILEWRIGHT_DEBUG": "1",
            "TILEWRIGHT_ADDRESS": "https://tiles.example",
        }
        manage("migrate", "--verbosity=0", environment=environment)
        if not data:
            manage("demo", environment=environment)
        serving = subprocess.Popen(
            [sys.executable, "manage.py", "runserver", str(port), "--noreload"],
            cwd=ROOT,
            env=environment,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        address = f"http://127.0.0.1:{port}"
        try:
            wait_for(address)
            yield address
        finally:
            serving.terminate()
            serving.wait()


def wait_for(address: str) -> None:
    for _ in range(100):
        try:
            urlopen(f"{address}/sign-in/").close()
        except OSError:
            time.sleep(0.3)
        else:
            return
    sys.exit("The demo studio does not answer.")


def main() -> None:
    """Make all pictures, or those named."""
    asked = argparse.ArgumentParser(description=main.__doc__)
    asked.add_argument("names", nargs="*")
    asked.add_argument("--data", help="a demo studio that is there already")
    said = asked.parse_args()
    with studio(said.data) as address, sync_playwright() as driver:
        chromium = next(path for name in CHROMIUM_NAMES if (path := which(name)))
        browser = driver.chromium.launch(executable_path=chromium, args=[*CHROMIUM_FLAGS])
        for name, screen, way in SCREENS:
            if said.names and name not in said.names:
                continue
            page = browser.new_context(base_url=address, service_workers="block", **screen).new_page()
            sign_in(page)
            way(page)
            page.wait_for_load_state("networkidle")
            keep(Image.open(BytesIO(page.screenshot())), name)
            page.context.close()
        page = browser.new_context(base_url=address).new_page()
        sign_in(page)
        for name, pdf, width in PRINTS:
            if said.names and name not in said.names:
                continue
            sheet = pypdfium2.PdfDocument(page.request.get(pdf).body())[0]
            keep(sheet.render(scale=width / sheet.get_width()).to_pil(), name)
        browser.close()


def sign_in(page: Page) -> None:
    page.goto("/sign-in/")
    page.get_by_role("button", name=KEEPER).click()
    page.wait_for_load_state()


if __name__ == "__main__":
    main()
