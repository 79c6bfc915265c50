"""Series: a question, its tiles, and how far they have come."""

import pytest
from django.urls import reverse
from django.utils import timezone

from tests.factories import (
    FiringFactory,
    GlazeFactory,
    SeriesFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.models import Outcome, Series, Tile
from tiles.series import queries

pytestmark = pytest.mark.django_db


@pytest.fixture
def series():
    """Four tiles: one planned, one glazed, one fired, one judged."""
    made = SeriesFactory(name="Harbour over Flux L", question="Does one coat of flux make it run?")
    day = timezone.localdate()
    tiles = [TileFactory(series=made, glazed_on=None if count == 0 else day) for count in range(4)]
    for tile in tiles[2:]:
        glaze_tile(tile, (GlazeFactory(), {"band 1": 1, "back": 2}))
        fired_outcomes(tile, FiringFactory(fired=True))
    Outcome.objects.filter(tile=tiles[3]).update(judged_at=timezone.now())
    return made


def test_progress_counts_each_tile_once_at_every_step_it_reached(series):
    counted = queries.with_progress(Series.objects.all()).get()

    assert (counted.tile_count, counted.glazed_count, counted.fired_count, counted.judged_count) == (
        4,
        3,
        2,
        1,
    )


def test_each_tile_says_how_far_it_has_come(series):
    assert [tile.step for tile in queries.tiles_of(series)] == ["planned", "glazed", "fired", "judged"]


def test_a_tile_in_the_bin_is_not_counted(series, keeper):
    Tile.objects.first().put_in_bin(by=keeper)

    assert queries.with_progress(Series.objects.all()).get().tile_count == 3


def test_a_fired_series_leads_to_the_firings_whose_tiles_wait_to_be_judged(recorder_client, series):
    """What comes after the fire is judging, not new tiles."""
    waiting, judged = (tile.placements.get().firing for tile in Tile.objects.order_by("number")[2:])

    page = recorder_client.get(series.get_absolute_url()).content.decode()

    assert f"Judge 1 of {waiting.label}</a>" in page
    assert reverse("tiles:unloading:firing", args=[judged.number]) not in page


@pytest.mark.parametrize("page", ["/tiles/series/", "/tiles/series/{}/"])
def test_a_series_is_called_planned_only_until_its_tiles_are_glazed(viewer_client, page):
    """Its state is somebody's word, and few go back to change it: beside "35 of 35 fired" it would be wrong."""
    said = '<span class="chip chip--state">planned</span>'
    tile = TileFactory(series=SeriesFactory(), glazed_on=None)
    address = page.format(tile.series.pk)
    assert said in viewer_client.get(address).content.decode()

    Tile.objects.update(glazed_on=timezone.localdate())

    assert said not in viewer_client.get(address).content.decode()


def test_the_page_shows_the_question_and_its_tiles(viewer_client, series):
    page = viewer_client.get(series.get_absolute_url()).content.decode()

    assert "Does one coat of flux make it run?" in page
    assert all(tile.label in page for tile in Tile.objects.all())
    assert reverse("tiles:recording:assign", args=[series.pk]) not in page


def test_the_list_counts_in_one_question_whatever_their_number(
    viewer_client, series, django_assert_max_num_queries
):
    for _ in range(10):
        SeriesFactory()
    with django_assert_max_num_queries(12):
        page = viewer_client.get(reverse("tiles:recording:series_list"))

    assert series.name in page.content.decode()


def test_a_long_list_of_series_is_paged_the_newest_first(viewer_client, series):
    later = [SeriesFactory(name=f"Row {count}") for count in range(queries.SERIES_A_PAGE)]

    first = viewer_client.get(reverse("tiles:recording:series_list"))
    second = viewer_client.get(reverse("tiles:recording:series_list"), {"page": "2"})

    assert [one.pk for one in first.context["page"]] == [one.pk for one in later[::-1]]
    assert [(one.pk, one.tile_count, one.judged_count) for one in second.context["page"]] == [
        (series.pk, 4, 1)
    ]


def test_an_empty_studio_is_told_what_a_series_is_for(recorder_client):
    assert b"Plan a series" in recorder_client.get(reverse("tiles:recording:series_list")).content


def test_a_series_is_begun_and_changed(recorder_client, recorder):
    words = {"name": "Thaw on dark clay", "question": "How dark?", "state": "planned"}
    recorder_client.post(reverse("tiles:recording:new_series"), words)
    series = Series.objects.get()
    recorder_client.post(
        reverse("tiles:recording:edit_series", args=[series.pk]),
        {**words, "state": "done", "stamp": series.stamp},
    )
    series.refresh_from_db()

    assert (series.created_by, series.state) == (recorder, "done")


def test_a_name_given_twice_is_refused_and_stays_typed(recorder_client, series):
    answer = recorder_client.post(
        reverse("tiles:recording:new_series"), {"name": series.name.upper(), "state": "planned"}
    )

    assert answer.status_code == 422
    assert series.name.upper() in answer.content.decode()


def test_two_people_changing_one_series_see_both_versions(recorder_client, series):
    old_stamp = series.stamp
    series.save()
    answer = recorder_client.post(
        reverse("tiles:recording:edit_series", args=[series.pk]),
        {"name": "Mine", "state": "planned", "stamp": old_stamp},
    )

    assert answer.status_code == 409


def test_tiles_are_taken_in_by_their_numbers(recorder_client, series):
    TileFactory(number=91042)
    TileFactory(number=91043)
    labels = ", ".join(tile.label for tile in Tile.objects.filter(number__gt=91000))
    recorder_client.post(reverse("tiles:recording:assign", args=[series.pk]), {"tiles": labels})

    assert Tile.objects.filter(series=series).count() == 6


@pytest.mark.parametrize(
    ("typed", "words"),
    [("", "required"), ("1042-8", "one digit is wrong"), ("1042-9", "There is no tile 1042-9")],
)
def test_numbers_that_lead_to_no_tile_are_refused_and_stay_typed(recorder_client, series, typed, words):
    Tile.objects.filter(number=1042).delete()
    answer = recorder_client.post(reverse("tiles:recording:assign", args=[series.pk]), {"tiles": typed})

    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert typed in answer.content.decode()


def test_a_viewer_changes_no_series(viewer_client, series):
    answers = [
        viewer_client.post(reverse("tiles:recording:new_series"), {"name": "Mine"}),
        viewer_client.post(reverse("tiles:recording:edit_series", args=[series.pk]), {"name": "Mine"}),
        viewer_client.post(reverse("tiles:recording:assign", args=[series.pk]), {"tiles": "1042-9"}),
    ]

    assert {answer.status_code for answer in answers} == {403}
