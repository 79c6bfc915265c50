"""The small behaviours every page has, in a real browser."""

from pathlib import Path

import pytest
from django.urls import reverse_lazy
from stdnum import damm

pytestmark = pytest.mark.browser

AXE = Path(__file__).resolve().parents[1] / "vendor" / "axe" / "axe.min.js"
ACCOUNT = reverse_lazy("people:account")
PUT = "html => { document.querySelector('main').insertAdjacentHTML('beforeend', html); htmx.process(document.body); }"


@pytest.fixture
def account(open_page, recorder):
    """Any page will do; this one asks for little."""
    return open_page(str(ACCOUNT), recorder)


def test_a_wrong_or_swapped_digit_is_caught_as_it_is_typed(account):
    account.evaluate(PUT, '<input id="number" data-tile-number>')
    number = account.locator("#number")
    number.fill("1024-9")  # 1042-9 with two digits swapped
    said = number.evaluate("box => box.validationMessage")
    number.fill("1042-9")

    assert "two are swapped" in said
    assert number.evaluate("box => box.validationMessage") == ""


def test_check_digits_agree_with_the_published_table(account):
    # The digit by python-stdnum, which follows the table of H. M. Damm, 2004
    numbers = [str(number) for number in [*range(1, 400), 1042, 99_999, 1_234_567]]
    judge = """async numbers => {
        const { complaint } = await import('/static/js/tile-number.js');
        return numbers.map(n => [...'0123456789'].filter(d => complaint(`${n}-${d}`) === '').join(''));
    }"""

    assert account.evaluate(judge, numbers) == [damm.calc_check_digit(number) for number in numbers]


def test_the_server_knows_the_theme_a_person_chose(account):
    account.locator("[data-theme-toggle]:visible").click()
    account.reload()

    assert account.locator("html").get_attribute("data-theme") == "dark"


def test_a_request_that_fails_loses_nothing_and_can_be_made_again(account):
    account.route("**/judge", lambda route: route.abort())
    account.evaluate(PUT, '<form id="f" hx-post="/judge"><input id="remark"><button>Send</button></form>')
    account.fill("#remark", "a hair of crawling")
    account.get_by_role("button", name="Send").click()
    account.get_by_text("did not reach").wait_for()
    account.unroute("**/judge")
    account.route("**/judge", lambda route: route.fulfill(status=204))

    with account.expect_request("**/judge"):
        account.get_by_role("button", name="Try again").click()
    assert account.input_value("#remark") == "a hair of crawling"
    assert not account.get_by_text("did not reach").is_visible()


def test_a_person_signed_out_meanwhile_keeps_the_page(account):
    account.evaluate(
        PUT, f'<div id="part">as it was</div><button hx-get="{ACCOUNT}" hx-target="#part">Send</button>'
    )
    account.context.clear_cookies()
    account.get_by_role("button", name="Send").click()
    account.get_by_text("You have been signed out.").wait_for()

    assert account.inner_text("#part") == "as it was"
    assert account.locator("#unreached").get_by_role("link", name="Sign in").is_visible()


def test_a_quick_add_fills_the_field_beside_it(account):
    account.route("**/quick", lambda route: route.fulfill(**_quick(route.request.method)))
    account.evaluate(
        PUT,
        '<p><select id="glaze" data-kind="glaze"><option value="">choose</option></select>'
        '<a href="/quick" data-opens="A new glaze">New</a></p><select id="other" data-kind="glaze"></select>',
    )
    account.get_by_role("link", name="New", exact=True).click()
    account.get_by_role("dialog", name="A new glaze").get_by_role("button", name="Add").click()
    account.get_by_role("dialog").wait_for(state="hidden")

    assert account.input_value("#glaze") == "12"
    assert account.inner_text("#other") == "Harbour"


def _quick(method: str) -> dict:
    if method == "GET":
        return {"content_type": "text/html", "body": '<form hx-post="/quick"><button>Add</button></form>'}
    added = '{"added": {"kind": "glaze", "value": 12, "label": "Harbour"}}'
    return {"status": 204, "headers": {"HX-Trigger": added}}


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1280])
def test_a_page_passes_the_accessibility_rules_of_wcag(open_page, keeper, theme, width):
    page = open_page(str(ACCOUNT), keeper, width=width, color_scheme=theme, bypass_csp=True)
    page.evaluate(AXE.read_text())
    found = page.evaluate("axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa']})")

    assert [(rule["id"], rule["nodes"][0]["html"]) for rule in found["violations"]] == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_the_way_into_everything_needs_no_script(open_page, recorder):
    page = open_page(str(ACCOUNT), recorder, width=390, java_script_enabled=False)
    page.get_by_role("button", name="More").click()

    assert page.get_by_role("button", name="Sign out", exact=True).is_visible()
