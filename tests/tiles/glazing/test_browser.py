"""Glazing on a phone: a thumb taps, the clock runs, a lost network loses nothing; the sheet by keyboard alone."""

import re
from datetime import timedelta
from unittest.mock import Mock

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from tests.factories import GlazeFactory, SeriesFactory, TileFactory, glaze_tile
from tiles.glazing import services
from tiles.models import CoatLaid, Tile


@pytest.fixture
def tiles(transactional_db) -> list[Tile]:
    """Two tiles of a series, two coats of one glaze on each, half an hour between them."""
    series, glaze = SeriesFactory(), GlazeFactory(drying_min=30)
    return [
        glaze_tile(TileFactory(series=series, glazed_on=None), (glaze, {"band 1": 2, "band 2": 2}))
        for _ in range(2)
    ]


def session(tiles: list[Tile]) -> str:
    return f"/glazing/now/?series={tiles[0].series_id}"


@pytest.fixture
def bench(open_page, recorder, tiles):
    """The session on a phone."""
    return open_page(session(tiles), recorder, width=390, height=844, has_touch=True, is_mobile=True)


def turn(bench):
    return bench.locator(".glazing-tile")


def test_a_tap_keeps_the_coat_and_brings_the_next_tile(bench, tiles):
    expect(turn(bench)).to_contain_text(tiles[0].label)
    button = bench.get_by_role("button", name="Coat 1 is on")
    assert button.bounding_box()["height"] >= 44
    button.tap()

    expect(turn(bench)).to_contain_text(tiles[1].label)
    assert CoatLaid.objects.filter(layer__tile=tiles[0]).count() == 1


def test_the_button_is_in_reach_without_scrolling(bench):
    box = bench.get_by_role("button", name="Coat 1 is on").bounding_box()

    assert box["y"] + box["height"] < 844 - 60


def test_where_all_dries_the_clock_counts_down_and_the_tile_comes_back(bench, tiles):
    for _ in tiles:
        bench.get_by_role("button", name="Coat 1 is on").tap()
        bench.wait_for_timeout(200)
    expect(bench.locator(".glazing-dries")).to_contain_text("in 30 min")

    CoatLaid.objects.update(laid_at=timezone.now() - timedelta(minutes=30) + timedelta(seconds=4))
    bench.reload()
    expect(bench.locator(".glazing-dries")).to_contain_text("in ")
    expect(bench.locator(".glazing-dries")).to_be_hidden(timeout=15_000)
    expect(bench.get_by_role("button", name="Coat 2 is on")).to_be_visible()


def test_a_tile_in_hand_stays_when_another_is_dry(bench, tiles):
    bench.get_by_role("button", name="Coat 1 is on").tap()
    expect(turn(bench)).to_contain_text(tiles[1].label)
    CoatLaid.objects.update(laid_at=timezone.now() - timedelta(minutes=30) + timedelta(seconds=3))
    bench.reload()
    waiting = bench.locator(".glazing-list li", has_text=tiles[0].label)
    expect(waiting.locator(".note")).to_have_text("dry", timeout=15_000)

    expect(turn(bench)).to_contain_text(tiles[1].label)
    bench.get_by_role("button", name="Coat 1 is on").tap()
    expect(turn(bench)).to_contain_text(tiles[0].label)
    assert set(CoatLaid.objects.values_list("layer__tile", "number")) == {(tile.pk, 1) for tile in tiles}


def test_a_coat_more_is_one_tap(bench, tiles):
    last = bench.locator(".glazing-back")
    for number in (1, 2):
        for tile in tiles:
            expect(turn(bench)).to_contain_text(tile.label)
            bench.get_by_role("button", name=f"Coat {number} is on").tap()
            expect(last).to_contain_text(f"coat {number} of")
            expect(last).to_contain_text(tile.label)
        CoatLaid.objects.update(laid_at=timezone.now() - timedelta(hours=1))
        bench.reload()
    bench.get_by_role("button", name="One coat more is on").tap()

    expect(bench.get_by_text("has 3 coats")).to_be_visible()
    assert CoatLaid.objects.count() == 5


def test_without_a_network_a_tap_is_not_lost(bench, tiles):
    bench.context.set_offline(True)
    bench.get_by_role("button", name="Coat 1 is on").tap()
    expect(bench.get_by_text("That did not reach the studio’s machine.")).to_be_visible()

    # A browser that does not tell of its network: the thumb is not raced by what is sent by itself.
    bench.evaluate("addEventListener('online', event => event.stopImmediatePropagation(), true)")
    bench.context.set_offline(False)
    bench.get_by_role("button", name="Try again").tap()
    expect(turn(bench)).to_contain_text(tiles[1].label)
    assert CoatLaid.objects.count() == 1


def test_what_is_typed_is_not_lost_while_a_clock_runs_out(bench, tiles):
    bench.get_by_role("button", name="Coat 1 is on").tap()
    expect(turn(bench)).to_contain_text(tiles[1].label)
    CoatLaid.objects.update(laid_at=timezone.now() - timedelta(minutes=30) + timedelta(seconds=4))
    bench.reload()
    bench.locator(".glazing-details summary").tap()
    bench.get_by_label("Brush or tool").fill("goat hair")
    expect(bench.locator(".glazing-list [data-clock]")).to_contain_text("dry now", timeout=15_000)

    expect(bench.get_by_label("Brush or tool")).to_have_value("goat hair")


def test_a_session_works_without_scripts(open_page, recorder, tiles):
    page = open_page(session(tiles), recorder, width=390, java_script_enabled=False)
    page.get_by_role("button", name="Coat 1 is on").click()

    expect(turn(page)).to_contain_text(tiles[1].label)


def test_a_sheet_is_typed_in_by_keyboard_alone(open_page, recorder, tiles):
    page = open_page(f"/glazing/sheet/?series={tiles[0].series_id}", recorder)
    first = page.get_by_role("textbox", name=f"{tiles[0].label}:")
    first.or_(page.locator(f"#id_coats-{tiles[0].layers.first().pk}")).first.focus()
    page.keyboard.press("Control+A")
    page.keyboard.type("1 2")
    page.keyboard.press("Tab")
    page.keyboard.type("drip at the edge")
    page.keyboard.press("Enter")

    expect(page.get_by_text("2 tiles are noted as glazed")).to_be_visible()
    assert Tile.objects.get(pk=tiles[0].pk).note == "drip at the edge"
    coats = tiles[0].layers.first().coverages.order_by("zone__position").values_list("coats", flat=True)
    assert list(coats) == [1, 2]


def test_a_sheet_half_typed_outlives_a_reload_and_what_another_changed_stands(open_page, recorder, tiles):
    page = open_page(f"/glazing/sheet/?series={tiles[0].series_id}", recorder)
    first, second = (f"#id_coats-{tile.layers.get().pk}" for tile in tiles)
    page.locator(first).fill("1 2")
    page.locator(second).fill("3")
    tiles[1].save()  # as anybody's change does, it moves the tile's stamp on
    page.reload()

    expect(page.get_by_text("and did not keep is filled in again")).to_be_visible()
    expect(page.locator(first)).to_have_value("1 2")
    expect(page.locator(second)).to_have_value("2")

    page.get_by_role("button", name="Leave it out").click()

    expect(page.locator(first)).to_have_value("2")
    expect(page.get_by_text("filled in again")).to_be_hidden()


def test_a_sheet_typed_the_day_before_yesterday_says_the_day(open_page, recorder, tiles):
    page = open_page(f"/glazing/sheet/?series={tiles[0].series_id}", recorder)
    page.locator(f"#id_coats-{tiles[0].layers.get().pk}").fill("1 2")
    day = page.evaluate("""() => {
        const [key] = Object.keys(localStorage).filter(name => name.startsWith("typed sheet"));
        const draft = JSON.parse(localStorage.getItem(key));
        draft.at -= 2 * 86400000;
        localStorage.setItem(key, JSON.stringify(draft));
        return new Date(draft.at).toLocaleDateString("en-GB", { day: "numeric", month: "long" });
    }""")
    page.reload()

    words = page.locator("[data-sheet-draft-words]")
    expect(words).to_have_text(re.compile(rf"until \d\d:\d\d on {day} and did not keep"))


def test_a_browser_that_is_full_stops_neither_typing_nor_tapping(open_page, recorder, tiles):
    page = open_page(f"/glazing/sheet/?series={tiles[0].series_id}", recorder)
    broken: list[object] = []
    page.on("pageerror", lambda trouble: broken.append(trouble))
    page.context.add_init_script("Storage.prototype.setItem = () => { throw new DOMException('full'); };")
    page.reload()
    page.locator(f"#id_coats-{tiles[0].layers.get().pk}").fill("1 2")
    page.goto(page.url.split("/glazing/")[0] + session(tiles))
    page.get_by_role("button", name="Coat 1 is on").click()

    expect(turn(page)).to_contain_text(tiles[1].label)
    assert not broken


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_nothing_keeps_anyone_from_using_it(open_page, recorder, tiles, barriers, theme):
    for path in ("/glazing/", session(tiles), f"/glazing/sheet/?series={tiles[0].series_id}"):
        page = open_page(path, recorder, width=390, bypass_csp=True, color_scheme=theme)
        assert barriers(page) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= 390


@pytest.fixture
def kept_bench(open_page, recorder, tiles):
    """The session on a phone that keeps it for when there is no network."""
    page = open_page(session(tiles), recorder, width=390, height=844, has_touch=True, service_workers="allow")
    expect(page.locator("html[data-kept-offline]")).to_be_attached()
    return page


def test_a_tap_outlives_a_reload_without_a_network(kept_bench, tiles, monkeypatch):
    # The browser's switch may leave a page of a service worker its network, so the machine takes nothing in, either.
    with monkeypatch.context() as away:
        away.setattr(services, "lay_coat", Mock(side_effect=ConnectionError))
        kept_bench.context.set_offline(True)
        kept_bench.get_by_role("button", name="Coat 1 is on").tap()
        waits = kept_bench.locator("[data-coats-waiting]")
        expect(waits).to_contain_text(f"On this phone until the network is back: {tiles[0].label}, coat 1 of")
        kept_bench.reload()
        expect(kept_bench.locator("#messages")).to_contain_text("A coat you tap stays on this phone")
        expect(waits).to_contain_text(tiles[0].label)
        assert not CoatLaid.objects.exists()

    kept_bench.context.set_offline(False)

    expect(turn(kept_bench)).to_contain_text(tiles[1].label, timeout=20_000)
    expect(waits).to_be_hidden()
    assert CoatLaid.objects.get().layer.tile == tiles[0]


def test_a_coat_that_waited_for_the_network_has_dried_since_its_tap(bench, tiles):
    bench.context.set_offline(True)
    bench.get_by_role("button", name="Coat 1 is on").tap()
    expect(bench.locator("[data-coats-waiting]")).to_be_visible()
    bench.evaluate("""() => {
        const [key] = Object.keys(localStorage).filter(name => name.startsWith("coats waiting"));
        const coats = JSON.parse(localStorage.getItem(key));
        coats[0].tappedAt -= 20 * 60 * 1000;
        localStorage.setItem(key, JSON.stringify(coats));
    }""")

    bench.context.set_offline(False)

    expect(turn(bench)).to_contain_text(tiles[1].label)
    waited = timezone.now() - CoatLaid.objects.get().laid_at
    assert timedelta(minutes=20) <= waited < timedelta(minutes=21)


def test_a_tap_that_waits_is_not_sent_by_somebody_else(open_page, bench, keeper, tiles, client, live_server):
    bench.context.set_offline(True)
    bench.get_by_role("button", name="Coat 1 is on").tap()
    expect(bench.locator("[data-coats-waiting]")).to_be_visible()
    client.force_login(keeper)
    theirs = {"name": "sessionid", "value": client.cookies["sessionid"].value, "url": live_server.url}
    bench.context.add_cookies([theirs])
    bench.evaluate("window.stop()")
    page = bench.context.new_page()
    bench.close()
    page.context.set_offline(False)
    page.goto(live_server.url + session(tiles))
    page.wait_for_load_state("networkidle")

    expect(page.locator("[data-coats-waiting]")).to_be_hidden()
    assert not CoatLaid.objects.exists()
