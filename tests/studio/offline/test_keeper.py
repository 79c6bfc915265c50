"""The unload page opens without a network, for the one who is signed in and nobody else; in a real browser."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from tests.factories import (
    FiringFactory,
    GlazeFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
    record_judgement,
)
from tests.tiles.photos import corpus
from tiles.models import Outcome, Photo
from tiles.unloading.judgement import Judgement

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

KEPT = """async () => (await caches.keys()).filter(name => name.startsWith("kept for "))"""
WAIT_UNTIL_NOTHING_IS_KEPT = f"""async () => {{
    for (let tries = 0; tries < 100 && (await ({KEPT})()).length; tries++) await new Promise(go => setTimeout(go, 100));
    return await ({KEPT})();
}}"""


@pytest.fixture
def unload(open_page, recorder):
    """The unload page of a firing of one tile, opened once with a network, so that it is kept."""
    firing = FiringFactory(fired=True)
    fired_outcomes(glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 1})), firing)
    address = reverse("tiles:unloading:firing", args=[firing.number])
    page = open_page(address, recorder, width=390, height=844, has_touch=True, service_workers="allow")
    expect(page.locator("html[data-kept-offline]")).to_be_attached()
    return page


def test_the_unload_page_opens_without_a_network_and_says_so(unload):
    unload.context.set_offline(True)
    unload.goto(unload.url + "?at=1042-9")

    expect(unload.locator("#messages")).to_contain_text("No network: the page as it was at")
    expect(unload.locator(".unload-row")).to_have_count(1)
    assert unload.evaluate("getComputedStyle(document.querySelector('.unload-bar')).position") == "sticky"


def test_a_photo_taken_without_a_network_is_sent_when_it_is_back(unload):
    unload.context.set_offline(True)
    unload.reload()
    photo = {"name": "IMG_1.jpg", "mimeType": "image/jpeg", "buffer": corpus.noisy_jpeg(64, 48)}
    unload.locator(".unload-row input[type=file]").set_input_files(photo)
    expect(unload.locator(".camera-bar")).to_contain_text("still on this")
    expect(unload.locator(".camera-photo[data-state=again]")).to_have_count(1)
    assert not Photo.objects.exists()

    unload.context.set_offline(False)

    expect(unload.locator(".camera-photo[data-state=filed]")).to_have_count(1)
    assert Photo.objects.get().filings.count() == 1


def test_a_page_that_is_not_kept_names_those_that_are(unload):
    unload.context.set_offline(True)
    unload.goto("/catalogue/")

    expect(unload.get_by_role("heading", name="No network")).to_be_visible()
    expect(unload.get_by_role("link", name="Unload")).to_be_visible()


def test_after_signing_out_nothing_is_kept_with_a_network_or_without(unload):
    kept = unload.url
    unload.evaluate("document.querySelector('form[action*=sign-out]').submit()")
    unload.wait_for_url("**/sign-in/**")
    assert unload.evaluate(WAIT_UNTIL_NOTHING_IS_KEPT) == []
    unload.context.set_offline(True)
    unload.goto(kept)

    expect(unload.get_by_role("heading", name="No network")).to_be_visible()
    expect(unload.locator(".unload-row")).to_have_count(0)


def test_what_was_kept_for_one_is_gone_when_another_signs_in(unload, keeper, client, live_server):
    client.force_login(keeper)
    session = {"name": "sessionid", "value": client.cookies["sessionid"].value, "url": live_server.url}
    unload.context.add_cookies([session])
    unload.goto("/")

    assert unload.evaluate(WAIT_UNTIL_NOTHING_IS_KEPT) == []


def test_a_judgement_made_without_a_network_is_refused_in_words_and_nothing_is_lost(unload):
    unload.locator(".unload-summary").click()
    satin = unload.locator(".judge .choice", has_text="satin").first
    satin.click()
    unload.context.set_offline(True)
    unload.locator(".judge-save").click()
    expect(unload.locator("#unreached")).to_contain_text("Nothing you typed is lost")
    expect(satin.locator("input")).to_be_checked()

    unload.locator("#unreached").get_by_role("button", name="Try again").click()
    expect(unload.locator("#unreached")).to_contain_text("Nothing you typed is lost")
    expect(satin.locator("input")).to_be_checked()

    # What waits is sent by itself then: a button pressed at the same moment would race with it.
    unload.context.set_offline(False)
    expect(unload.locator("#messages")).to_contain_text("judged")
    expect(unload.locator("#unreached")).to_be_hidden()


def test_what_was_judged_since_is_counted_without_a_network_too(unload):
    unload.locator(".unload-summary").click()
    unload.locator(".judge .choice", has_text="satin").first.click()
    unload.evaluate("delete document.documentElement.dataset.keptOffline")
    unload.locator(".judge-save").click()
    expect(unload.locator("#unload-bar")).to_contain_text("1 of 1")
    expect(unload.locator("html[data-kept-offline]")).to_be_attached()
    unload.context.set_offline(True)
    unload.reload()

    expect(unload.locator("#messages")).to_contain_text("No network: the page as it was at")
    expect(unload.locator("#unload-bar")).to_contain_text("1 of 1")
    expect(unload.locator(".unload-summary--judged")).to_have_count(1)


def test_a_tile_nothing_is_known_of_says_what_can_be_done_and_opens_when_the_network_is_back(unload):
    unload.route("**/unopened/", lambda route: route.abort())
    unload.reload()
    unload.context.set_offline(True)
    unload.locator(".unload-summary").click()
    expect(unload.locator(".unload-row [data-body]")).to_contain_text(
        "opens by itself when the network is back"
    )
    expect(unload.locator(".unload-row [data-body]")).to_contain_text("Photograph it meanwhile")

    unload.context.set_offline(False)

    expect(unload.locator(".judge-save")).to_be_visible()
    expect(unload.locator("[data-unreached]")).to_have_count(0)


def test_once_the_network_is_back_nothing_lies_over_the_buttons(unload):
    unload.context.set_offline(True)
    unload.reload()
    expect(unload.locator("#messages")).to_contain_text("No network")
    unload.context.set_offline(False)
    unload.locator(".unload-summary").click()

    expect(unload.locator(".judge-save")).to_be_visible()
    expect(unload.locator("#messages")).not_to_contain_text("No network")


def test_a_page_kept_for_one_question_is_not_shown_for_another(unload, recorder):
    burst = reverse("tiles:tray:burst")
    unload.goto(f"{burst}?firing=1")
    expect(unload.locator("html[data-kept-offline]")).to_be_attached()
    unload.context.set_offline(True)
    unload.goto(f"{burst}?firing=2")

    expect(unload.get_by_role("heading", name="No network")).to_be_visible()


def test_a_closed_tile_is_judged_on_a_page_opened_without_a_network(unload):
    unload.route("**/unload/1042-9/**", lambda route: route.abort())
    unload.context.set_offline(True)
    with unload.expect_response("**/unopened/"):
        unload.reload()
    unload.locator(".unload-summary").tap()
    unload.locator("form[data-judge] .choice", has_text="satin").first.tap()
    unload.get_by_role("button", name="Keep & next").tap()
    expect(unload.locator("[data-judged-waiting]")).to_contain_text("on this phone until the network is back")
    assert not Outcome.objects.judged().exists()
    unload.unroute("**/unload/1042-9/**")
    unload.context.set_offline(False)

    expect(unload.locator("#unload-bar")).to_contain_text("1 of 1")
    assert Outcome.objects.judged().get().surface == "satin"


def judge_without_a_network(unload):
    """The one tile opened with a network, kept without; its waiting line."""
    unload.locator(".unload-summary").tap()
    expect(unload.locator("form[data-judge]")).to_be_visible()
    unload.locator("form[data-judge] .choice", has_text="satin").first.tap()
    # A page that a service worker answered is not cut off by the browser's switch alone.
    unload.route("**/judge/", lambda route: route.abort())
    unload.context.set_offline(True)
    unload.get_by_role("button", name="Keep & next").tap()
    line = unload.locator("[data-judged-waiting]")
    expect(line).to_contain_text("on this phone until the network is back")
    assert not Outcome.objects.judged().exists()
    return line


def network_is_back(unload):
    unload.unroute("**/judge/")
    unload.context.set_offline(False)


def test_a_tile_judged_without_a_network_is_kept_when_it_is_back(unload):
    line = judge_without_a_network(unload)
    network_is_back(unload)

    expect(line).to_be_hidden()
    expect(unload.locator("#unload-bar")).to_contain_text("1 of 1")
    assert Outcome.objects.judged().count() == 1


def test_a_judged_tile_outlives_a_reload_without_a_network(unload):
    line = judge_without_a_network(unload)
    unload.goto(unload.url.split("?")[0])
    expect(line).to_contain_text("on this phone until the network is back")
    network_is_back(unload)

    expect(line).to_be_hidden()
    expect(unload.locator("[data-draft]")).to_have_count(0)
    assert Outcome.objects.judged().count() == 1


def test_a_tile_judged_by_somebody_else_meanwhile_is_not_written_over(unload, keeper):
    line = judge_without_a_network(unload)
    theirs = Judgement(surface="dry")
    record_judgement(Outcome.objects.get(), theirs, by=keeper)
    network_is_back(unload)

    expect(unload.locator(".form-errors")).to_contain_text("judged")
    expect(line).to_be_hidden()
    assert Outcome.objects.get().surface == "dry"


def test_what_is_tapped_after_keeping_without_a_network_waits_for_its_own_button(unload):
    line = judge_without_a_network(unload)
    unload.locator(".choice", has_text="matt").first.tap()
    network_is_back(unload)

    expect(line).to_be_hidden()
    assert not Outcome.objects.judged().exists()
    unload.get_by_role("button", name="Keep & next").tap()
    expect(unload.locator("#unload-bar")).to_contain_text("1 of 1")
    assert Outcome.objects.get().surface == "matt"
