"""The home page: what needs you next, and the first steps in an empty studio."""

import pytest
from django.urls import reverse
from django.utils import timezone

from firings.vocabulary import FiringState, Purpose
from tests.factories import (
    FiringFactory,
    GlazeFactory,
    PhotoFactory,
    PhotoFilingFactory,
    SeriesFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.models import Outcome

pytestmark = pytest.mark.django_db
HOME = reverse("waiting:home")


def words(client) -> str:
    return " ".join(client.get(HOME).content.decode().split())


def fired_tile(firing, **tile):
    made = glaze_tile(TileFactory(**tile), (GlazeFactory(), {"band 1": 1, "band 2": 2}))
    fired_outcomes(made, firing)
    return made


def test_an_empty_studio_is_told_what_to_do_first(keeper_client):
    page = words(keeper_client)

    assert "Write down a clay body" in page
    assert "Unload, photograph and judge" in page
    assert page.count("first-steps-open") == 7


def test_a_step_that_is_done_is_ticked(keeper_client):
    GlazeFactory()

    assert words(keeper_client).count("first-steps-open") == 6


def test_a_fired_firing_waits_to_be_unloaded_with_what_is_left(recorder_client):
    firing = FiringFactory(fired=True, kiln__name="Oriel")
    judged = fired_tile(firing)
    fired_tile(firing)
    Outcome.objects.filter(tile=judged).update(judged_at=timezone.now())

    page = words(recorder_client)

    assert f"Unload {firing.label}" in page
    assert "cone 6, oxidation, kiln Oriel; 1 of 2 tiles to judge" in page
    assert reverse("tiles:unloading:firing", args=[firing.number]) in page


def test_a_firing_all_judged_waits_to_be_marked_unloaded(recorder_client):
    firing = FiringFactory(fired=True)
    fired_tile(firing)
    Outcome.objects.update(judged_at=timezone.now())

    assert f"Mark {firing.label} unloaded" in words(recorder_client)


def test_planned_and_loaded_firings_wait_and_an_unloaded_one_does_not(recorder_client):
    planned = FiringFactory()
    loaded = FiringFactory(state=FiringState.LOADED.value)
    done = FiringFactory(fired=True, state=FiringState.UNLOADED.value)
    bisque = FiringFactory(purpose=Purpose.BISQUE.value)
    TileFactory(bisque_firing=bisque)

    page = words(recorder_client)

    assert f"Load {planned.label}" in page
    assert f"Fire {loaded.label}" in page
    assert done.label not in page
    assert "1 tile in it so far" in page


def test_glazed_tiles_wait_by_the_cone_they_are_meant_for(recorder_client):
    for cone in (30, 30, 34, None):
        glaze_tile(TileFactory(planned_order=cone), (GlazeFactory(), {"band 1": 1}))
    TileFactory()

    page = words(recorder_client)

    assert "Plan a firing for 2 tiles" in page
    assert "glazed, cone 10" in page
    assert "glazed, no cone noted" in page


def test_photos_in_the_tray_and_tiles_without_one_wait(recorder_client):
    tile = fired_tile(FiringFactory(fired=True))
    PhotoFactory()

    assert "one photo waits" in words(recorder_client)
    assert "Photograph 1 tile" in words(recorder_client)

    PhotoFilingFactory(tile=tile, placement=tile.placements.get())
    assert "Photograph 1 tile" not in words(recorder_client)


def test_a_viewer_sees_the_latest_tiles_and_no_jobs(viewer_client):
    tile = fired_tile(FiringFactory(fired=True))
    PhotoFilingFactory(tile=tile, placement=tile.placements.get())

    page = words(viewer_client)

    assert "Last out of the kiln" in page
    assert tile.label in page
    assert "Unload F-" not in page


def test_a_series_under_way_shows_how_far_it_is(recorder_client):
    series = SeriesFactory(name="Harbour by cone", question="Where does it break?")
    fired_tile(FiringFactory(fired=True), series=series)
    TileFactory(series=series)

    page = words(recorder_client)

    assert "Where does it break?" in page
    assert "0 of 2" in page


def test_the_home_page_asks_no_more_of_a_full_studio(recorder_client, django_assert_max_num_queries):
    for _ in range(6):
        firing = FiringFactory(fired=True)
        tile = fired_tile(firing, series=SeriesFactory())
        PhotoFilingFactory(tile=tile, placement=tile.placements.get())

    # Session, person, permissions and preferences, seven first steps, and one for each kind of thing that waits.
    with django_assert_max_num_queries(24):
        recorder_client.get(HOME)
