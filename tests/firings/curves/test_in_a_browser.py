"""Curves in a real browser: the plot takes over, answers to keys and fingers, and shuts nobody out."""

import re

import pytest

from firings.curves import services
from firings.curves.outlook import look
from firings.curves.reading import Choice
from tests.factories import FiringFactory, KilnFactory, WitnessConeFactory
from tests.firings.curves.shapes import rows

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture(autouse=True)
def data_folder(settings, tmp_path):
    settings.DATA_DIR = tmp_path


@pytest.fixture
def log():
    return "\n".join(["Time (min),Kiln", *(f"{s / 60:g},{t:.1f}" for s, t in rows())]).encode()


@pytest.fixture
def firing():
    return FiringFactory(number=231, fired=True, kiln=KilnFactory(name="Oriel"))


@pytest.mark.parametrize(("width", "theme"), [(390, "dark"), (1280, "light")])
def test_a_firing_s_curve_is_read_by_keys_and_shuts_nobody_out(
    open_page, barriers, recorder, firing, log, width, theme
):
    WitnessConeFactory(firing=firing, bend_deg=80)
    file = services.LoggerFile(services.receive_file([log]), "kiln.csv")
    services.keep_curve(firing.pk, file, look(log, Choice()), by=recorder)
    page = open_page(firing.get_absolute_url(), recorder, width=width, bypass_csp=True, color_scheme=theme)
    page.locator(".curve-plot canvas").first.wait_for()
    moment = page.get_by_label("Moment of the firing to read")
    before = page.locator(".curve-readout").inner_text()
    moment.press("Home")

    assert re.search(r"logged 12\d\d °C, cone 6\.\d so far", before)
    assert re.search(r"^0 h 00: logged 20 °C$", page.locator(".curve-readout").inner_text())
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert barriers(page) == []


def test_a_finger_on_the_plot_reads_a_moment(open_page, recorder, firing, log):
    file = services.LoggerFile(services.receive_file([log]), "kiln.csv")
    services.keep_curve(firing.pk, file, look(log, Choice()), by=recorder)
    page = open_page(firing.get_absolute_url(), recorder, width=390, has_touch=True, is_mobile=True)
    over = page.locator(".curve-plot .u-over").first
    over.scroll_into_view_if_needed()
    before = page.locator(".curve-readout").inner_text()
    box = over.bounding_box()
    page.touchscreen.tap(box["x"] + box["width"] / 4, box["y"] + 40)

    page.wait_for_function("was => document.querySelector('.curve-readout').textContent !== was", arg=before)


@pytest.mark.parametrize("width", [390, 1280])
def test_a_file_is_brought_in_by_hand(open_page, barriers, recorder, firing, log, width):
    page = open_page(firing.get_absolute_url(), recorder, width=width, bypass_csp=True)
    page.get_by_role("link", name="Bring in the logged curve").click()
    page.get_by_label("The logger’s file").set_input_files(
        {"name": "kiln.csv", "mimeType": "text/csv", "buffer": log}
    )

    assert barriers(page) == []

    page.get_by_role("button", name="Look at it").click()
    page.get_by_role("button", name="Keep this curve").wait_for()

    assert barriers(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width

    page.get_by_role("button", name="Keep this curve").click()
    page.get_by_text("is kept").wait_for()

    firing.refresh_from_db()
    assert firing.reached_source == "curve"


def test_the_page_draws_by_itself_where_scripts_are_off(open_page, recorder, firing, log):
    file = services.LoggerFile(services.receive_file([log]), "kiln.csv")
    services.keep_curve(firing.pk, file, look(log, Choice()), by=recorder)
    page = open_page(firing.get_absolute_url(), recorder, width=390, java_script_enabled=False)

    assert page.locator(".curve-drawing--narrow").is_visible()
    assert not page.locator(".curve-drawing--wide").is_visible()
