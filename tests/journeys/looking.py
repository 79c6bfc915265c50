"""Looking at a page as people meet it: on three screens, with letters at twice their size, by thumb and by keyboard.

The page must have been opened with `bypass_csp=True`, since what looks is a script the studio does not serve, and for
thumbs with `has_touch=True`. Each question answers with what is wrong, in words that name the place.
"""

from collections.abc import Iterator
from pathlib import Path

from playwright.sync_api import Page

SEEN = Path(__file__).with_name("seen.js").read_text(encoding="utf-8")
# A small phone, a tablet held upright, a desk.
WIDTHS = (360, 768, 1440)
HEIGHT = 740
# The size of letters a browser is set to: 16 px as it comes, 32 px for eyes that need 200 % (WCAG 2.2, 1.4.4).
USUAL_PX, TWICE_PX = 16, 32
# Of one page; beyond that a page is all links, and goes on as it began.
MOST_STOPS = 300

Wrong = Iterator[tuple[str, str]]


def look_at(page: Page, address: str, width: int = 360) -> None:
    """Open a page and have the questions at hand."""
    page.set_viewport_size({"width": width, "height": HEIGHT})
    page.goto(address)
    page.evaluate(SEEN)


def asked(page: Page, question: str) -> list[str]:
    return page.evaluate(f"__seen.{question}()")


def at_full_height(page: Page) -> None:
    """All of it at once: what lies under a bar that stays can be scrolled free, and is no barrier."""
    width = page.viewport_size["width"] if page.viewport_size else WIDTHS[0]
    height = page.evaluate("document.documentElement.scrollHeight")
    page.set_viewport_size({"width": width, "height": height + 100})


def unfit(page: Page) -> Wrong:
    """Where the page is wider than a screen, cuts words or lays them over one another; and what moves unasked."""
    letters = page.context.new_cdp_session(page)
    for size_px in (USUAL_PX, TWICE_PX):
        letters.send("Page.setFontSizes", {"fontSizes": {"standard": size_px}})
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": HEIGHT})
            for question in ("sideways", "cut", "overlaps"):
                for place in asked(page, question):
                    yield f"{question}, {width} px, letters {size_px} px", place
    letters.send("Page.setFontSizes", {"fontSizes": {"standard": USUAL_PX}})
    for place in asked(page, "moving"):
        yield "moves though still was asked for", place


def missed_by_thumbs(page: Page) -> Wrong:
    """What a thumb cannot hit: less than 44 px to press on a small phone."""
    page.set_viewport_size({"width": WIDTHS[0], "height": HEIGHT})
    for place in asked(page, "small"):
        yield "less than 44 px", place


def _see_all_of(page: Page) -> None:
    """Have what a page fetches as it comes into view, such as a history, there before it is walked."""
    page.evaluate("scrollTo(0, document.documentElement.scrollHeight)")
    page.wait_for_timeout(400)
    page.wait_for_function("!document.querySelector('.htmx-request')")
    page.evaluate("scrollTo(0, 0)")


def lost_by_keyboard(page: Page) -> Wrong:
    """Walk the page by the Tab key: every stop is in view and marked, and nothing that is pressed is left out."""
    _see_all_of(page)
    stops = ends = 0
    # A page may begin in its first box: then the end leads to its beginning.
    while stops < MOST_STOPS and ends < 2:
        page.keyboard.press("Tab")
        stop = page.evaluate("__seen.focused()")
        if stop is None or stop.get("again"):
            ends += not (stop and stop["within"])
            continue
        stops += 1
        if stop["hidden"]:
            yield "focus out of sight", stop["hidden"]
    for place in asked(page, "unmarked"):
        yield "focus not marked", place
    if stops < MOST_STOPS:
        for place in asked(page, "unreached"):
            yield "never reached by keyboard", place
