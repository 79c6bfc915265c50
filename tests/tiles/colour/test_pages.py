"""The pages of measured colours: measuring on a photo, what was read, and the map."""

import re

import numpy as np
import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse
from playwright.sync_api import expect

from tests.counting import queries_of
from tests.factories import (
    FiringFactory,
    GlazeFactory,
    PhotoFilingFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tests.tiles.colour.pictures import BANDS, as_jpeg, tile_picture
from tiles.colour import services
from tiles.colour.atlas.queries import measured_of
from tiles.colour.lab import Illuminant
from tiles.models import ColourReading, Outcome, Photo
from tiles.search.queries import search

pytestmark = pytest.mark.django_db


@pytest.fixture
def outcomes() -> list[Outcome]:
    tile = glaze_tile(TileFactory(), (GlazeFactory(name="Harbour"), dict.fromkeys(BANDS, 1)))
    return fired_outcomes(tile, FiringFactory(fired=True))


@pytest.fixture
def photo(outcomes, stored) -> Photo:
    return stored(as_jpeg(tile_picture()), placement=outcomes[0].placement)


def measuring(photo: Photo) -> str:
    return reverse("tiles:colour:measure", args=[photo.sha256])


def sent(page: str) -> dict[str, str]:
    """The areas as the page without scripts would send them."""
    return dict(re.findall(r'name="(area-\d+)"\s+data-sent-as\s+value="([^"]+)"', page))


def test_a_page_without_scripts_measures_where_the_form_says(recorder_client: Client, photo, outcomes):
    page = recorder_client.get(measuring(photo)).content.decode()
    areas = sent(page)
    answer = recorder_client.post(
        measuring(photo), {**areas, "zone": [outcome.pk for outcome in outcomes]}, follow=True
    )

    assert len(areas) == 3
    assert "Colour of 3 zones measured." in answer.content.decode()
    assert ColourReading.objects.filter(counts=True).count() == 3
    assert "by colour chart" not in answer.content.decode()
    assert "uncorrected" in answer.content.decode()


def test_it_is_undone_from_the_message_that_announced_it(recorder_client: Client, photo, outcomes):
    areas = sent(recorder_client.get(measuring(photo)).content.decode())
    answer = recorder_client.post(measuring(photo), {**areas, "zone": [outcomes[0].pk]}, follow=True)
    (undo,) = re.findall(r'action="(/colour/undo/[^"]+)"', answer.content.decode())
    again = recorder_client.post(undo, follow=True)

    assert "Undone" in again.content.decode()
    assert not ColourReading.objects.exists()
    assert "nothing was undone" in recorder_client.post(undo, follow=True).content.decode()


def test_an_area_that_is_none_is_refused_and_nothing_is_lost(recorder_client: Client, photo, outcomes):
    areas = sent(recorder_client.get(measuring(photo)).content.decode())
    crossed = "0.1,0.1,0.9,0.9,0.9,0.1,0.1,0.9"
    broken = {**areas, f"area-{outcomes[0].pk}": crossed, "zone": [outcomes[0].pk, outcomes[1].pk]}
    answer = recorder_client.post(measuring(photo), broken)

    assert answer.status_code == 422
    assert "sides cross" in answer.content.decode()
    assert crossed in answer.content.decode()
    assert areas[f"area-{outcomes[1].pk}"] in answer.content.decode()
    assert not ColourReading.objects.exists()


def test_nothing_ticked_asks_for_a_zone(recorder_client: Client, photo):
    answer = recorder_client.post(measuring(photo), {})

    assert answer.status_code == 422
    assert "Tick at least one zone" in answer.content.decode()


def test_an_original_that_is_gone_is_said(recorder_client: Client, stored, outcomes, files_kept):
    # A picture of its own: the last ones measured stay at hand.
    photo = stored(as_jpeg(tile_picture().rotate(180)), placement=outcomes[0].placement)
    for path in files_kept():
        path.unlink()
    page = recorder_client.get(measuring(photo))

    assert page.status_code == 200
    assert "original is not there" in page.content.decode()
    areas = sent(page.content.decode())
    assert recorder_client.post(measuring(photo), {**areas, "zone": outcomes[0].pk}).status_code == 422


def test_a_photo_of_no_result_says_what_to_do(recorder_client: Client, stored):
    photo = stored(as_jpeg(tile_picture()))
    PhotoFilingFactory(photo=photo, tile=TileFactory())

    assert "Nothing to measure yet" in recorder_client.get(measuring(photo)).content.decode()


def test_reading_one_area_answers_its_colour(viewer_client: Client, photo):
    address = reverse("tiles:colour:reading", args=[photo.sha256])
    good = viewer_client.get(address, {"of": "5", "area": "", "area-5": "0.3,0.3,0.35,0.3,0.35,0.5,0.3,0.5"})
    bad = viewer_client.get(address, {"of": "5"})

    assert good.status_code == 200
    assert "L*" in good.content.decode()
    assert "give or take" in good.content.decode()
    assert bad.status_code == 422


def test_an_instruments_figures_are_typed_as_people_write_them(recorder_client: Client, outcomes):
    address = reverse("tiles:colour:instrument", args=[outcomes[0].pk])
    typed = {"lab_l": "39,5", "lab_a": "24.1", "lab_b": "-3", "illuminant": "D50"}
    answer = recorder_client.post(address, typed, follow=True)
    outcome = Outcome.objects.get(pk=outcomes[0].pk)

    assert "by instrument" in answer.content.decode()
    assert (outcome.lab_l, outcome.lab_a, outcome.lab_b) == pytest.approx((39.5, 24.1, -3))


def test_figures_no_surface_has_are_refused(recorder_client: Client, outcomes):
    address = reverse("tiles:colour:instrument", args=[outcomes[0].pk])
    typed = {"lab_l": "139", "lab_a": "24.1", "lab_b": "3", "illuminant": "D50"}
    answer = recorder_client.post(address, typed)

    assert answer.status_code == 422
    assert 'value="139"' in answer.content.decode()
    assert Outcome.objects.get(pk=outcomes[0].pk).lab_l is None


def test_another_reading_may_count(recorder_client: Client, recorder, photo, outcomes):
    areas = sent(recorder_client.get(measuring(photo)).content.decode())
    recorder_client.post(measuring(photo), {**areas, "zone": [outcomes[0].pk]})
    services.keep_instrument(outcomes[0], (10, 0, 0), Illuminant.D50, by=recorder)
    reading = ColourReading.objects.get(photo=photo)
    page = recorder_client.post(reverse("tiles:colour:choose", args=[reading.pk]), follow=True)

    assert "Another reading counts" in page.content.decode()
    assert Outcome.objects.get(pk=outcomes[0].pk).lab_basis == "uncorrected"


def test_a_viewer_reads_and_changes_nothing(viewer_client: Client, photo, outcomes):
    page = viewer_client.get(reverse("tiles:colour:outcome", args=[outcomes[0].pk]))

    assert page.status_code == 200
    assert "Read by an instrument" not in page.content.decode()
    assert viewer_client.get(measuring(photo)).status_code == 403


def test_the_map_shows_the_same_results_as_the_search(viewer_client: Client, recorder, outcomes):
    for outcome, lab in zip(outcomes[:2], ((40, 20, 20), (60, -10, 5)), strict=True):
        services.keep_instrument(outcome, lab, Illuminant.D50, by=recorder)
    address = reverse("tiles:colour:map")
    whole = viewer_client.get(address).content.decode()
    near = viewer_client.get(address, {"near": "40 20 20"}).content.decode()

    assert whole.count('class="colour-map-dot"') == 2
    assert "1 more has none" in whole
    assert near.count('class="colour-map-dot"') == 1
    assert f"{outcomes[0].tile.label}, band 1" in near
    assert "by instrument" in near


def test_an_empty_map_says_how_to_begin(viewer_client: Client, outcomes):
    assert "No colour to map" in viewer_client.get(reverse("tiles:colour:map")).content.decode()


def test_the_map_asks_no_more_for_more_results(viewer_client: Client, recorder, outcomes):
    address = reverse("tiles:colour:map")
    services.keep_instrument(outcomes[0], (40, 20, 20), Illuminant.D50, by=recorder)
    few = queries_of(viewer_client, address)
    for outcome in outcomes[1:]:
        services.keep_instrument(outcome, (50, 20, 20), Illuminant.D50, by=recorder)

    assert queries_of(viewer_client, address) == few


@pytest.mark.django_db(transaction=True)
def test_the_map_reads_of_memory_what_the_database_says(recorder, outcomes):
    for outcome, lab in zip(outcomes[:2], ((40, 20, 20), (60, -10, 5)), strict=True):
        services.keep_instrument(outcome, lab, Illuminant.D50, by=recorder)
    for query in ("", "near=40+20+20", f"glaze={outcomes[0].top_glaze_id}", "photo=no", "cone=10"):
        asked = search(query)
        assert asked.on_columns is not None
        in_memory = measured_of(asked)
        with transaction.atomic():
            from_database = measured_of(search(query))
        for ours, theirs in zip(in_memory, from_database, strict=True):
            np.testing.assert_array_equal(ours, theirs)


def test_a_part_of_the_map_is_drawn_larger(viewer_client: Client, recorder, outcomes):
    for outcome, a in zip(outcomes, (0, 1, 40), strict=True):
        services.keep_instrument(outcome, (50, a, 0), Illuminant.D50, by=recorder)
    page = viewer_client.get(reverse("tiles:colour:map"), {"around": "0,0,10"}).content.decode()

    assert page.count('class="colour-map-dot"') == 2
    assert "1 colour lies outside this part" in page


def test_areas_are_pulled_by_mouse_and_keyboard_and_read_anew(open_page, recorder, photo, outcomes, barriers):
    page = open_page(measuring(photo), recorder, bypass_csp=True)
    area = page.locator(f"#area-{outcomes[0].pk}")
    reading = page.locator(f'[data-zone="{outcomes[0].pk}"] .colour-reading')
    blue = reading.locator(".colour-figures").inner_text()
    before = area.input_value()

    page.locator("label", has_text="pull its corners").first.click()
    whole = page.get_by_role("button", name="whole area")
    for _ in range(12):
        whole.press("Shift+ArrowRight")
    expect(area).not_to_have_value(before)
    expect(reading.locator(".colour-figures")).not_to_have_text(blue)

    page.locator("label", has_text="pull the outline").click()
    second = page.locator(f"#area-{outcomes[1].pk}")
    laid = second.input_value()
    corner = page.get_by_role("button", name="lower right corner")
    corner.hover()
    page.mouse.down()
    page.mouse.move(600, 500, steps=3)
    page.mouse.up()
    expect(second).not_to_have_value(laid)

    assert barriers(page) == []
    page.get_by_role("button", name="Keep these colours").click()
    expect(page.get_by_text("Colour of 3 zones measured.")).to_be_visible()
    assert ColourReading.objects.count() == 3


def test_the_map_and_a_colours_page_are_open_to_all_ways_of_reading(open_page, recorder, outcomes, barriers):
    for outcome, lab in zip(outcomes[:2], ((40, 20, 20), (60, -10, 5)), strict=True):
        services.keep_instrument(outcome, lab, Illuminant.D50, by=recorder)
    page = open_page(reverse("tiles:colour:map"), recorder, width=390, bypass_csp=True)
    assert barriers(page) == []

    dot = page.locator(".colour-map-dot").first
    dot.focus()
    page.keyboard.press("Enter")
    expect(page).to_have_url(re.compile(r"/tiles/[0-9]+-[0-9]/#outcome-"))

    page.goto(reverse("tiles:colour:outcome", args=[outcomes[0].pk]))
    assert barriers(page) == []
