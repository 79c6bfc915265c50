"""A firing is planned, moved on, read and corrected; its reached cone has one writer."""

from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.utils import timezone

from firings import listeners
from firings.logbook import services
from firings.logbook.facts import FiringFacts, WitnessReading
from firings.models import CannotUndo, Firing, StaleEdit
from firings.vocabulary import FiringState
from tests.factories import (
    CONE_5,
    CONE_6,
    FiringFactory,
    GlazeFactory,
    KilnFactory,
    ShelfFactory,
    TileFactory,
    WitnessConeFactory,
    fired_outcomes,
    glaze_tile,
)

pytestmark = pytest.mark.django_db

AUTUMN = datetime(2026, 10, 14, 7, 0, tzinfo=UTC)


def planned(by, **facts):
    return services.plan_firing(FiringFacts(kiln_id=KilnFactory().pk, target_order=CONE_6, **facts), by=by)


def test_a_firing_gets_the_next_number_and_its_planner(recorder):
    FiringFactory(number=230)

    firing = planned(recorder)

    assert firing.label == "F-0231"
    assert firing.created_by == recorder
    assert firing.history.get().history_user == recorder


def test_a_number_in_the_bin_is_not_given_again(recorder):
    FiringFactory(number=230).put_in_bin(by=recorder)

    assert planned(recorder).number == 231


def test_a_number_that_someone_took_meanwhile_is_passed_over(recorder, monkeypatch):
    FiringFactory(number=231)
    given = iter([231, 232])
    monkeypatch.setattr(type(Firing.objects), "next_number", lambda self: next(given), raising=False)

    assert planned(recorder).number == 232


def test_before_the_fire_there_is_no_reached_cone(recorder):
    firing = planned(recorder, controller_number=Decimal("5.9"))
    services.move_to_state(firing.pk, FiringState.LOADED, by=recorder)
    firing.refresh_from_db()

    assert (firing.reached_number, firing.reached_order, firing.reached_source) == (None, None, "")


def test_once_fired_the_target_stands_in_until_something_is_read(recorder):
    firing = services.move_to_state(planned(recorder).pk, FiringState.FIRED, by=recorder)

    assert (firing.reached_words, firing.reached_source) == ("6", "target")


def test_the_controller_counts_before_the_target_and_witness_cones_before_both(recorder):
    firing = services.move_to_state(
        planned(recorder, controller_number=Decimal("5.9")).pk, FiringState.FIRED, by=recorder
    )
    by_controller = (firing.reached_words, firing.reached_source)
    cones = [
        WitnessReading(CONE_5, "self_supporting", bend_deg=90),
        WitnessReading(CONE_6, "self_supporting", bend_deg=72),
    ]

    firing = services.read_witness_cones(firing.pk, cones, by=recorder)

    assert by_controller == ("5.9", "controller")
    assert (firing.reached_words, firing.reached_source) == ("5.8", "witness")


def test_a_firing_marked_fired_without_a_start_starts_now(recorder):
    before = timezone.now()
    firing = services.move_to_state(planned(recorder).pk, FiringState.FIRED, by=recorder)

    assert before <= firing.started_at <= timezone.now()


def test_a_planned_start_is_kept_and_a_given_one_counts_more(recorder):
    later = datetime(2026, 10, 15, 9, 0, tzinfo=UTC)
    kept = services.move_to_state(planned(recorder, started_at=AUTUMN).pk, FiringState.FIRED, by=recorder)
    given = services.move_to_state(
        planned(recorder, started_at=AUTUMN).pk, FiringState.FIRED, started_at=later, by=recorder
    )

    assert (kept.started_at, given.started_at) == (AUTUMN, later)


def test_a_button_pressed_twice_is_pressed_once(recorder):
    firing = services.move_to_state(planned(recorder).pk, FiringState.UNLOADED, by=recorder)
    again = services.move_to_state(firing.pk, FiringState.FIRED, started_at=AUTUMN, by=recorder)

    assert again.state == "unloaded"
    assert again.stamp == firing.stamp
    assert again.unloaded_at is not None


def test_moving_on_is_undone_in_one_step(recorder):
    firing = planned(recorder)
    before = firing.history.first().history_id
    services.move_to_state(firing.pk, FiringState.FIRED, by=recorder)

    firing = services.take_back(firing.pk, before, by=recorder)

    assert (firing.state, firing.started_at, firing.reached_source) == ("planned", None, "")


def test_an_undo_never_takes_back_somebody_elses_later_change(recorder, keeper):
    firing = planned(recorder)
    before = firing.history.first().history_id
    moved = services.move_to_state(firing.pk, FiringState.LOADED, by=recorder)
    services.change_firing(
        firing.pk, moved.stamp, FiringFacts(kiln_id=firing.kiln_id, note="Lid is cracked."), by=keeper
    )

    with pytest.raises(CannotUndo, match="changed again since"):
        services.take_back(firing.pk, before, by=recorder)


def test_a_stale_edit_is_refused_with_what_stands_there(recorder, keeper):
    firing = planned(recorder)
    facts = FiringFacts(kiln_id=firing.kiln_id, target_order=CONE_5)
    services.change_firing(firing.pk, firing.stamp, facts, by=keeper)

    with pytest.raises(StaleEdit) as stale:
        services.change_firing(firing.pk, firing.stamp, replace(facts, target_order=CONE_6), by=recorder)
    assert stale.value.current.target_order == CONE_5


def test_outcomes_follow_the_reached_cone_in_the_same_transaction(recorder):
    firing = planned(recorder)
    tile = glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 2}))
    [outcome] = fired_outcomes(tile, firing)
    services.move_to_state(firing.pk, FiringState.FIRED, started_at=AUTUMN, by=recorder)
    services.read_witness_cones(
        firing.pk, [WitnessReading(CONE_5, "self_supporting", bend_deg=90)], by=recorder
    )
    outcome.refresh_from_db()

    assert (outcome.reached_number, outcome.reached_order, outcome.reached_source) == (5, CONE_5, "witness")
    assert outcome.fired_on == AUTUMN.date()


def test_when_a_listener_fails_nothing_is_kept(recorder, monkeypatch):
    firing = planned(recorder)

    def refuse(firing_ids):
        raise RuntimeError("no")

    monkeypatch.setattr(listeners, "firings_changed", [refuse])
    with pytest.raises(RuntimeError):
        services.move_to_state(firing.pk, FiringState.FIRED, by=recorder)
    firing.refresh_from_db()
    assert firing.state == "planned"


def test_cones_not_listed_any_more_go_and_their_history_stays(recorder):
    firing = planned(recorder)
    kept = WitnessConeFactory(firing=firing, order=CONE_6, bend_deg=90)
    gone = WitnessConeFactory(firing=firing, order=CONE_5)

    services.read_witness_cones(firing.pk, [services.reading_of(kept)], by=recorder)

    assert list(firing.witness_cones.all()) == [kept]
    assert gone.history.model.objects.filter(id=gone.pk, history_type="-").exists()


def test_a_cone_of_another_firing_is_not_taken_over(recorder):
    firing, stranger = planned(recorder), WitnessConeFactory(order=CONE_5)
    reading = replace(services.reading_of(stranger), order=CONE_6)

    services.read_witness_cones(firing.pk, [reading], by=recorder)
    stranger.refresh_from_db()

    assert stranger.order == CONE_5
    assert firing.witness_cones.get().order == CONE_6


def test_a_firing_moved_to_another_kiln_leaves_the_old_kilns_shelves(recorder):
    shelf = ShelfFactory()
    firing = FiringFactory(kiln=shelf.kiln)
    cone = WitnessConeFactory(firing=firing, shelf=shelf)

    services.change_firing(
        firing.pk, firing.stamp, FiringFacts(kiln_id=KilnFactory().pk, target_order=CONE_6), by=recorder
    )
    cone.refresh_from_db()

    assert cone.shelf is None
