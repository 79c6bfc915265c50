"""The home page: what needs you next, and the first steps in an empty studio."""

import pytest
from django.urls import reverse
from django.utils import timezone

from firings.vocabulary import FiringState, Purpose
from tests.counting import queries_of
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
    assert reverse("tiles:planner:new") in page
    assert reverse("tiles:recording:new") in page
    assert "Unload, photograph and judge" in page
    assert page.count("first-steps-open") == 7


def test_an_empty_studio_is_told_that_lists_of_earlier_years_can_be_brought_in(keeper_client, viewer_client):
    page, seen = words(keeper_client), words(viewer_client)

    steps = page.partition('id="first-steps"')[2].partition("</section>")[0]
    assert f'<a href="{reverse("importing:list")}">Bring in a spreadsheet</a>' in steps
    assert reverse("guide:task", args=["spreadsheet"]) in steps
    assert reverse("importing:list") not in seen


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
        glaze_tile(
            TileFactory(planned_order=cone, glazed_on=timezone.localdate()), (GlazeFactory(), {"band 1": 1})
        )
    TileFactory()

    page = words(recorder_client)

    assert "Plan a firing for 2 tiles" in page
    assert "glazed, cone 10" in page
    assert "glazed, no cone noted" in page
    assert f"{reverse('firings:logbook:new')}?cone=10" in page


def test_photos_in_the_tray_and_tiles_without_one_wait(recorder_client):
    tile = fired_tile(FiringFactory(fired=True))
    PhotoFactory()

    assert "one photo waits" in words(recorder_client)
    assert "Photograph 1 tile" in words(recorder_client)

    PhotoFilingFactory(tile=tile, placement=tile.placements.get())
    assert "Photograph 1 tile" not in words(recorder_client)


def test_tiles_for_a_cone_that_a_firing_is_planned_for_go_into_it(recorder_client):
    firing = FiringFactory(target_order=34)
    glaze_tile(TileFactory(planned_order=34, glazed_on=timezone.localdate()), (GlazeFactory(), {"band 1": 1}))

    assert f"Load 1 tile into {firing.label}" in words(recorder_client)


def test_an_unloaded_firing_still_waits_while_a_zone_is_not_judged(recorder_client):
    firing = FiringFactory(fired=True, state=FiringState.UNLOADED.value)
    fired_tile(firing)

    assert f"Judge {firing.label}" in words(recorder_client)


def test_a_viewer_sees_the_last_results_and_no_jobs(viewer_client):
    tile = fired_tile(FiringFactory(fired=True))
    PhotoFilingFactory(tile=tile, placement=tile.placements.get())
    Outcome.objects.update(judged_at=timezone.now())

    page = words(viewer_client)

    assert "Last results" in page
    assert tile.label in page
    assert "Mark F-" not in page
    assert "Nothing here waits for you" in page
    assert "every firing is unloaded" not in page


def test_a_keeper_is_told_that_no_phone_opens_the_address(keeper_client, recorder_client):
    assert "which no phone can open" in words(keeper_client)
    assert "which no phone can open" not in words(recorder_client)


def test_what_lies_in_the_bin_waits_for_nobody(recorder_client):
    firing = FiringFactory(fired=True)
    fired_tile(firing).put_in_bin(by=None)
    FiringFactory().put_in_bin(by=None)
    glaze_tile(TileFactory(planned_order=34), (GlazeFactory(), {"band 1": 1})).put_in_bin(by=None)

    page = words(recorder_client)

    assert "to judge" not in page
    assert "Load F-" not in page
    assert "Plan a firing for" not in page


def test_a_series_under_way_shows_how_far_it_is(recorder_client):
    series = SeriesFactory(name="Harbour by cone", question="Where does it break?")
    fired_tile(FiringFactory(fired=True), series=series)
    TileFactory(series=series)

    page = words(recorder_client)

    assert "Where does it break?" in page
    assert "0 of 2" in page


def fill(studio_size: int) -> None:
    for _ in range(studio_size):
        firing = FiringFactory(fired=True)
        tile, _ = (fired_tile(firing, series=SeriesFactory()) for _ in range(2))
        PhotoFilingFactory(tile=tile, placement=tile.placements.get())
        Outcome.objects.filter(tile=tile).update(judged_at=timezone.now())
        PhotoFactory()
        FiringFactory()
        glaze_tile(
            TileFactory(planned_order=34, glazed_on=timezone.localdate()), (GlazeFactory(), {"band 1": 1})
        )


def test_the_home_page_asks_no_more_of_a_full_studio(recorder_client):
    fill(1)
    few = queries_of(recorder_client, HOME)
    fill(5)

    assert queries_of(recorder_client, HOME) == few
