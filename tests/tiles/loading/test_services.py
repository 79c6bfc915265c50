"""Tiles onto shelves, moved, taken off, refired; outcomes follow."""

import pytest

from firings.logbook.facts import FiringFacts
from firings.logbook.services import change_firing
from firings.models import CannotUndo
from firings.vocabulary import FiringState, Purpose
from tests.factories import (
    CONE_6,
    FiringFactory,
    GlazeFactory,
    KilnFactory,
    LayerFactory,
    ShelfFactory,
    TileFactory,
    glaze_tile,
)
from tiles.conditions.queries import untrue_copies
from tiles.loading import queries, services
from tiles.models import Coverage, Outcome, Placement, Tile

pytestmark = pytest.mark.django_db


@pytest.fixture
def shelf():
    return ShelfFactory(position=3)


@pytest.fixture
def firing(shelf):
    return FiringFactory(kiln=shelf.kiln)


@pytest.fixture
def tile():
    return glaze_tile(TileFactory(), (GlazeFactory(name="Harbour"), {"band 1": 1, "band 2": 2}))


def place(firing, tile, by, shelf=None, where="", on_cookie=False):
    return services.place_tiles(firing, [tile.pk], shelf, where, on_cookie, by=by)


def test_placing_a_glazed_tile_makes_an_outcome_for_each_glazed_zone(firing, tile, shelf, recorder):
    done = place(firing, tile, recorder, shelf, "front", True)
    outcomes = Outcome.objects.order_by("zone__position")

    assert (done.placed, done.moved) == (1, 0)
    assert [(row.zone.name, row.shelf, row.place, row.firing_count) for row in outcomes] == [
        ("band 1", shelf, "front", 1),
        ("band 2", shelf, "front", 1),
    ]
    assert Placement.objects.get().on_cookie
    assert Placement.history.get().history_user == recorder


def test_placing_it_again_moves_it_and_the_conditions_follow(firing, tile, shelf, recorder):
    place(firing, tile, recorder)
    done = place(firing, tile, recorder, shelf, "back")

    assert (done.placed, done.moved) == (0, 1)
    assert {(row.shelf, row.place) for row in Outcome.objects.all()} == {(shelf, "back")}
    assert list(untrue_copies()) == []


def test_refiring_is_ordinary_and_counted(firing, tile, recorder):
    place(FiringFactory(), tile, recorder)
    place(firing, tile, recorder)

    assert [row.sequence for row in tile.placements.order_by("sequence")] == [1, 2]
    assert {row.firing_count for row in Outcome.objects.filter(firing=firing)} == {2}


def test_layers_put_on_for_a_refiring_are_only_in_the_second_stack(firing, tile, recorder):
    first = FiringFactory()
    place(first, tile, recorder)
    again = LayerFactory(tile=tile, glaze=GlazeFactory(name="Tern"), after_firings=1)
    Coverage.objects.create(layer=again, zone=tile.zones.get(name="band 1"), coats=1)
    place(firing, tile, recorder)

    assert Outcome.objects.get(firing=first, zone__name="band 1").top_glaze.name == "Harbour"
    assert Outcome.objects.get(firing=firing, zone__name="band 1").top_glaze.name == "Tern"


def test_a_bisque_firing_is_kept_with_the_tile_and_makes_no_outcome(tile, recorder):
    bisque = FiringFactory(purpose=Purpose.BISQUE.value)
    done = place(bisque, tile, recorder)
    tile.refresh_from_db()

    assert (done.placed, done.undo) == (1, None)
    assert tile.bisque_firing == bisque
    assert not Placement.objects.exists()

    services.take_out_of_bisque(tile, by=recorder)
    assert Tile.objects.get().bisque_firing is None


def test_a_firing_for_another_purpose_holds_tiles_and_judges_nothing(tile, recorder):
    place(FiringFactory(purpose=Purpose.OTHER.value), tile, recorder)

    assert Placement.objects.exists()
    assert not Outcome.objects.exists()


def test_taking_a_tile_off_takes_its_unjudged_outcomes_too(firing, tile, recorder):
    place(firing, tile, recorder)
    services.take_off(Placement.objects.get(), by=recorder)

    assert not Outcome.everything.exists()
    assert Placement.history.filter(history_type="-").exists()


def test_a_judged_tile_stays_in_its_firing(firing, tile, recorder):
    place(firing, tile, recorder)
    Outcome.objects.update(judged_at=firing.created_at)

    with pytest.raises(services.CannotTakeOff, match="was judged after"):
        services.take_off(Placement.objects.get(), by=recorder)


def test_a_tile_is_taken_off_its_last_firing_first(firing, tile, recorder):
    place(FiringFactory(), tile, recorder)
    place(firing, tile, recorder)

    with pytest.raises(services.CannotTakeOff, match="in a later firing"):
        services.take_off(tile.placements.get(sequence=1), by=recorder)


def test_a_tile_glazed_again_after_a_firing_stays_in_it(firing, tile, recorder):
    place(firing, tile, recorder)
    LayerFactory(tile=tile, after_firings=1)

    with pytest.raises(services.CannotTakeOff, match="glazed again after"):
        services.take_off(tile.placements.get(), by=recorder)


def test_placing_is_undone_in_one_step(firing, tile, shelf, recorder):
    done = place(firing, tile, recorder, shelf)

    assert services.take_back(firing, *done.undo, by=recorder) == 1
    assert not Placement.objects.exists()


def test_moving_is_undone_to_where_it_stood(firing, tile, shelf, recorder):
    place(firing, tile, recorder, shelf, "front", True)
    moved = place(firing, tile, recorder, None, "back")
    services.take_back(firing, *moved.undo, by=recorder)
    standing = Placement.objects.get()

    assert (standing.shelf, standing.place, standing.on_cookie) == (shelf, "front", True)


def test_taking_off_is_undone_with_place_and_outcomes(firing, tile, shelf, recorder):
    place(firing, tile, recorder, shelf, "front", True)
    undo = services.take_off(Placement.objects.get(), by=recorder)
    services.take_back(firing, *undo, by=recorder)
    standing = Placement.objects.get()

    assert (standing.shelf, standing.place, standing.on_cookie) == (shelf, "front", True)
    assert Outcome.objects.filter(placement=standing).count() == 2


def test_an_undo_after_another_change_is_refused(firing, tile, shelf, recorder):
    done = place(firing, tile, recorder, shelf)
    place(firing, tile, recorder, None, "back")

    with pytest.raises(CannotUndo):
        services.take_back(firing, *done.undo, by=recorder)
    assert Placement.objects.get().place == "back"


def test_an_undo_leaves_what_somebody_else_put_in_at_the_same_moment(firing, tile, shelf, recorder, keeper):
    first, _ = place(firing, tile, recorder, shelf, "front").undo
    theirs = place(firing, TileFactory(), keeper, shelf, "back").undo
    _, last = place(firing, tile, recorder, None, "left").undo

    assert first < theirs[0] < last
    assert services.take_back(firing, first, last, by=recorder) == 1
    assert [standing.place for standing in Placement.objects.all()] == ["back"]
    with pytest.raises(CannotUndo, match="Nothing of yours"):
        services.take_back(firing, *theirs, by=recorder)


def test_a_firing_moved_to_another_kiln_leaves_no_tile_on_foreign_shelves(firing, tile, shelf, recorder):
    place(firing, tile, recorder, shelf)
    change_firing(firing.pk, firing.stamp, FiringFacts(KilnFactory().pk, target_order=CONE_6), by=recorder)

    assert Placement.objects.get().shelf is None
    assert Outcome.objects.values_list("shelf", flat=True).distinct().get() is None
    assert list(untrue_copies()) == []


class TestWaiting:
    def test_glazed_tiles_wait_and_bare_or_fired_ones_do_not(self, firing, tile, recorder):
        TileFactory()
        fired = glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 1}))
        place(FiringFactory(), fired, recorder)

        assert list(queries.could_go_in(firing)) == [tile]

    def test_a_tile_glazed_again_waits_for_its_second_firing(self, firing, tile, recorder):
        place(FiringFactory(state=FiringState.UNLOADED.value), tile, recorder)
        assert list(queries.could_go_in(firing)) == []
        LayerFactory(tile=tile, after_firings=1)

        assert list(queries.could_go_in(firing)) == [tile]

    def test_tiles_planned_for_this_cone_come_first(self, firing, tile):
        wanted = glaze_tile(TileFactory(planned_order=CONE_6), (GlazeFactory(), {"band 1": 1}))
        waiting = queries.waiting_for(firing)

        assert (waiting.planned, waiting.others) == ([wanted], [tile])

    def test_raw_tiles_wait_for_a_bisque_firing(self, tile):
        bisque = FiringFactory(purpose=Purpose.BISQUE.value)
        TileFactory(bisque_firing=bisque)

        assert list(queries.could_go_in(bisque)) == [tile]

    def test_a_tile_in_the_bin_waits_for_nothing(self, firing, tile, recorder):
        tile.put_in_bin(by=recorder)

        assert queries.waiting_for(firing).total == 0
