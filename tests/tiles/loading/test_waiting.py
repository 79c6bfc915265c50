"""What waits to be fired: grouped by the fire asked for, planned or filled with one tap."""

import pytest
from django.urls import reverse

from firings.models import Firing
from tests.counting import queries_of
from tests.factories import (
    CONE_6,
    CONE_10,
    ClayBodyFactory,
    FiringFactory,
    GlazeFactory,
    KilnFactory,
    ShelfFactory,
    TileFactory,
    glaze_tile,
)
from tiles.loading.packing import Piece, Room
from tiles.loading.waiting.grouping import Fire, Group, WaitingTile, fire_of
from tiles.models import Placement

pytestmark = pytest.mark.django_db
PAGE, FIRE = reverse("tiles:to_fire:page"), reverse("tiles:to_fire:fire")


def waiting(count=1, glaze=None, **tile):
    glaze = glaze or GlazeFactory()
    return [glaze_tile(TileFactory(**tile), (glaze, {"band 1": 1})) for _ in range(count)]


@pytest.fixture
def kiln():
    return ShelfFactory(kiln=KilnFactory(name="Oriel"), width_mm=400, depth_mm=300).kiln


def sent(kiln, fire, **more):
    return {"kiln": kiln.pk, "fire": fire, **more}


def test_tiles_stand_by_cone_atmosphere_and_hold_and_a_clay_s_usual_hold_counts(viewer_client, kiln):
    waiting(2, planned_order=CONE_6, planned_atmosphere="oxidation", planned_hold_min=10)
    waiting(
        1, planned_order=CONE_6, planned_atmosphere="oxidation", body=ClayBodyFactory(default_hold_min=10)
    )
    waiting(1, planned_order=CONE_6, planned_atmosphere="oxidation")
    waiting(1)
    page = viewer_client.get(PAGE).content.decode()

    assert page.count('id="fire-') == 3
    assert "Cone 6, oxidation, 10 min hold</h2>" in page
    assert "3 tiles, " in page
    assert "Cone not said, atmosphere not said</h2>" in page
    assert "Plan a firing" not in page  # a viewer only looks


def test_one_tap_plans_a_firing_with_every_tile_in_its_place_and_undo_empties_it(recorder_client, kiln):
    tiles = waiting(4, planned_order=CONE_6, planned_hold_min=10)
    answer = recorder_client.post(FIRE, sent(kiln, f"{CONE_6}..10"), follow=True)
    firing = Firing.objects.get()

    assert (firing.kiln, firing.target_order, firing.atmosphere, firing.hold_min) == (
        kiln,
        CONE_6,
        "oxidation",
        10,
    )
    assert {row.tile for row in firing.placements.filter(x_mm__isnull=False)} == set(tiles)
    assert "4 tiles put into" in answer.content.decode()
    assert "Nothing waits" in recorder_client.get(PAGE).content.decode()
    history = Placement.history.order_by("history_id")
    span = history.first().history_id, history.last().history_id
    recorder_client.post(reverse("tiles:loading:undo", args=[firing.number, *span]))
    assert not Placement.objects.exists()


def test_a_planned_firing_of_the_same_fire_is_filled(recorder_client, kiln):
    waiting(3, planned_order=CONE_6, planned_atmosphere="oxidation")
    planned = FiringFactory(kiln=kiln, number=231, target_order=CONE_6)
    assert "Put into F-0231" in recorder_client.get(PAGE).content.decode()
    recorder_client.post(FIRE, sent(kiln, f"{CONE_6}.oxidation.0", firing=231))

    assert planned.placements.count() == 3
    assert Firing.objects.count() == 1


def test_what_finds_no_room_goes_on_waiting(recorder_client, kiln):
    waiting(60, planned_order=CONE_6)
    page = recorder_client.post(FIRE, sent(kiln, f"{CONE_6}..0"), follow=True).content.decode()
    stood = Placement.objects.count()

    assert 0 < stood < 60
    assert f"{60 - stood} found no room in Oriel and go on waiting" in page
    assert f"{60 - stood} tile" in recorder_client.get(PAGE).content.decode()


def test_an_electric_kiln_is_not_offered_for_reduction(recorder_client, kiln):
    waiting(1, planned_order=CONE_10, planned_atmosphere="reduction")
    page = recorder_client.get(PAGE).content.decode()

    assert "No kiln with shelves is entered that gives this fire" in page
    ShelfFactory(kiln=KilnFactory(name="Heron", kind="gas"))
    assert "Heron" in recorder_client.get(PAGE).content.decode()


@pytest.mark.parametrize("fire", ["", "0..0", "99..0", "30.smoke.0", "30..x", "30..99999", "٣..0"])
def test_a_fire_that_is_none_is_refused(recorder_client, kiln, fire):
    waiting(1, planned_order=CONE_6)
    page = recorder_client.post(FIRE, sent(kiln, fire), follow=True).content.decode()

    assert "Choose " in page
    assert not Firing.objects.exists()


def test_ten_more_waiting_tiles_ask_no_more_queries(recorder_client, kiln):
    glaze = GlazeFactory()
    waiting(2, glaze, planned_order=CONE_6)
    few = queries_of(recorder_client, PAGE)
    waiting(10, glaze, planned_order=CONE_10)
    ShelfFactory(kiln=KilnFactory())

    assert queries_of(recorder_client, PAGE) == few


def test_how_full_a_kiln_would_be_is_reckoned_with_room_between_tiles():
    """Four tiles of 90 × 40 mm, 10 mm apart, take 4 × 100 × 50 of 210 × 110 mm: 87 %."""
    fire = Fire(CONE_6, "", 0)
    tiles = tuple(WaitingTile(str(n), fire, Piece(n, 90, 40, 90)) for n in range(4))

    assert Group(fire, tiles).fills_pct([Room(1, 200, 100)]) == round(100 * 20_000 / (200 * 100 + 10 * 300))


def test_a_key_names_its_fire_again():
    for fire in (Fire(30, "oxidation", 10), Fire(1, "", 0)):
        assert fire_of(fire.key) == fire
