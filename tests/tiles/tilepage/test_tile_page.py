"""A tile's page: everything about it, and what may be done with it."""

import re
from html import unescape

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.counting import queries_of
from tests.factories import (
    FiringFactory,
    GlazeBatchFactory,
    GlazeFactory,
    PhotoFactory,
    PhotoFilingFactory,
    SeriesFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.models import Flaw, Outcome

pytestmark = pytest.mark.django_db


@pytest.fixture
def tile():
    harbour, flux = GlazeFactory(name="Harbour"), GlazeFactory(name="Flux L", kind="flux")
    lot = GlazeBatchFactory(glaze=harbour, lot="24-118")
    tile = TileFactory(number=71042, body__name="Dune speckled", note="thin on the left")
    glaze_tile(tile, (flux, {"band 3": 1}))
    return glaze_tile(tile, (harbour, {"band 3": 3, "back": 2}), batch=lot, tool="hake brush")


def words(answer) -> str:
    return re.sub(r"\s+", " ", answer.content.decode())


def open_page(client: Client, tile, **sent) -> str:
    return words(client.get(tile.get_absolute_url(), **sent))


def test_the_page_shows_what_lies_on_the_tile(viewer_client: Client, tile):
    page = open_page(viewer_client, tile)

    assert "71042-2" in page
    assert "Dune speckled" in page
    assert "thin on the left" in page
    assert re.search(r"Harbour</a>.*–.*×3.*×2.*24-118.*brushed.*hake brush", page)


def test_the_top_layer_stands_first_as_it_lies(viewer_client: Client, tile):
    table = re.search(r"<tbody>.*?</tbody>", open_page(viewer_client, tile))[0]

    assert table.index("Harbour") < table.index("Flux L")


def test_each_firing_shows_its_zones_with_conditions_and_what_was_seen(viewer_client: Client, tile, keeper):
    band, back = fired_outcomes(tile, FiringFactory(number=231, fired=True))
    band.surface, band.run_mm, band.remark = "satin", 2, "honey where thin"
    band.judged_by, band.judged_at = keeper, timezone.now()
    band.save()
    Flaw.objects.create(outcome=band, kind="pinholing", severity="marked")

    page = open_page(viewer_client, tile)

    assert "F-0231" in page
    assert "satin, run 2 mm" in page
    assert "pinholing, marked" in page
    assert "honey where thin" in page
    assert "3 coats Harbour (lot 24-118) brushed over 1 coat Flux L, on Dune speckled" in page
    assert "not judged yet" in page
    assert f'id="outcome-{back.pk}"' in page


def test_a_refired_tile_shows_each_firing_the_last_one_first(viewer_client: Client, tile):
    fired_outcomes(tile, FiringFactory(number=231, fired=True))
    fired_outcomes(tile, FiringFactory(number=240, fired=True))

    page = open_page(viewer_client, tile)

    assert page.index("Firing 2 of 2") < page.index("Firing 1 of 2")


def test_a_measured_colour_shows_as_a_swatch_with_its_basis(viewer_client: Client, tile):
    outcome = fired_outcomes(tile, FiringFactory(fired=True))[0]
    Outcome.objects.filter(pk=outcome.pk).update(
        lab_l=54.29, lab_a=80.81, lab_b=69.89, lab_basis="chart", judged_at=timezone.now()
    )

    page = open_page(viewer_client, tile)

    assert 'fill="#ff0000"' in page
    assert "colour chart" in page


def test_photos_of_the_whole_tile_come_before_those_of_a_zone(viewer_client: Client, tile):
    placement = fired_outcomes(tile, FiringFactory(fired=True))[0].placement
    zone, whole = PhotoFactory(), PhotoFactory()
    PhotoFilingFactory(photo=zone, tile=tile, placement=placement, zone=tile.zones.first())
    PhotoFilingFactory(photo=whole, tile=tile, placement=placement)

    page = open_page(viewer_client, tile)

    assert page.index(whole.sha256) < page.index(zone.sha256)


def test_its_series_is_a_tap_away(viewer_client: Client, tile):
    series = SeriesFactory(name="Harbour by cone")
    tile.series = series
    tile.save()
    sister = TileFactory(series=series)

    page = open_page(viewer_client, tile)

    assert "Harbour by cone" in page
    assert sister.label in page


def test_a_recorder_may_change_repeat_print_load_and_throw_away(recorder_client: Client, tile):
    firing = FiringFactory(number=250)
    page = open_page(recorder_client, tile)

    for address in (
        reverse("tiles:recording:edit", args=["71042-2"]),
        reverse("tiles:recording:again", args=["71042-2"]),
        reverse("tiles:prints:choose") + "?tiles=71042-2",
        reverse("tiles:loading:firing", args=[firing.number]),
        reverse("history:bin", args=["tiles", "tile", tile.pk]),
    ):
        assert address in page


def test_a_viewer_is_offered_nothing_that_changes_the_tile(viewer_client: Client, tile):
    page = open_page(viewer_client, tile)

    assert "/edit/" not in page
    assert "/bin/" not in page
    assert reverse("tiles:prints:choose") in page


def test_the_short_address_opens_the_page(viewer_client: Client, tile):
    for start in ("/T/", "/t/"):
        answer = viewer_client.get(f"{start}71042-2", follow=True)
        assert answer.redirect_chain[-1][0] == tile.get_absolute_url()


def test_a_code_scanned_by_someone_signed_out_leads_there_after_signing_in(client: Client, tile):
    answer = client.get("/T/71042-2")

    assert answer.status_code == 302
    assert answer.headers["Location"].endswith("?next=/T/71042-2")


def test_a_wrong_digit_is_answered_in_words_and_stays_typed(viewer_client: Client, tile):
    answer = viewer_client.get("/tiles/71042-3/")

    assert answer.status_code == 404
    assert "one digit is wrong or two are swapped" in words(answer)
    assert 'value="71042-3"' in words(answer)


def test_a_number_no_tile_has_is_answered_in_words(viewer_client: Client):
    answer = viewer_client.get("/tiles/71042-2/")

    assert answer.status_code == 404
    assert "No tile has the number 71042-2" in words(answer)


def test_a_number_written_without_its_dash_leads_to_the_page(viewer_client: Client, tile):
    assert viewer_client.get("/tiles/710422/").headers["Location"] == "/tiles/71042-2/"


def test_a_tile_in_the_bin_says_so_and_can_be_put_back(recorder_client: Client, recorder, tile):
    tile.put_in_bin(by=recorder)
    page = open_page(recorder_client, tile)

    assert "in the bin since" in page
    assert str(recorder) in page
    assert reverse("history:unbin", args=["tiles", "tile", tile.pk]) in page
    assert "/edit/" not in page


def test_a_tile_without_glaze_says_what_to_do(recorder_client: Client):
    page = open_page(recorder_client, TileFactory())

    assert "Fill in the coat grid" in page


def test_the_page_takes_no_more_queries_for_more_firings_photos_and_sisters(viewer_client: Client, tile):
    series = SeriesFactory()
    tile.series = series
    tile.save()
    glaze_tile(TileFactory(series=series), (GlazeFactory(), {"band 1": 1}))
    fired_outcomes(tile, FiringFactory(fired=True))
    PhotoFilingFactory(tile=tile)
    few = queries_of(viewer_client, tile.get_absolute_url())
    for _ in range(4):
        placement = fired_outcomes(tile, FiringFactory(fired=True))[0].placement
        PhotoFilingFactory(tile=tile, placement=placement)
        glaze_tile(TileFactory(series=series), (GlazeFactory(), {"band 1": 1}))

    assert queries_of(viewer_client, tile.get_absolute_url()) == few


def test_a_stack_of_three_leads_to_what_is_layered_like_it(recorder_client):
    """A label is scanned to learn what these glazes do; an answer is about two of them at most."""
    base, middle, cover = GlazeFactory(), GlazeFactory(), GlazeFactory()
    firing = FiringFactory(fired=True)
    tile = TileFactory()
    same, turned = TileFactory(body=tile.body), TileFactory(body=tile.body)
    as_it_is, upside_down = (base, middle, cover), (cover, middle, base)
    for each, glazes in ((tile, as_it_is), (same, as_it_is), (turned, upside_down)):
        for glaze in glazes:
            glaze_tile(each, (glaze, {"band 1": 1}))
        fired_outcomes(each, firing)

    page = words(recorder_client.get(tile.get_absolute_url()))
    link = unescape(re.search(r'<a href="([^"]+)">what is layered like it</a>', page)[1])
    found = words(recorder_client.get(link))

    assert "ask about it" not in page
    assert tile.label in found
    assert same.label in found
    assert turned.label not in found
