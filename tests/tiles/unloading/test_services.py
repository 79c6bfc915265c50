"""A judgement is kept whole, taken back whole, and never laid over somebody else's unseen."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from firings.models import CannotUndo
from firings.moments import mark_of
from firings.vocabulary import FiringState
from tests.factories import (
    FiringFactory,
    GlazeFactory,
    ShelfFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
    record_judgement,
)
from tiles.models import Flaw, Outcome
from tiles.unloading import queries, services
from tiles.unloading.judgement import LONGEST_RUN_MM, Judgement, in_order
from tiles.vocabulary import Degree, FlawKind, Opacity, Severity, Surface, Verdict

pytestmark = pytest.mark.django_db

SATIN = Judgement("satin", "opaque", Decimal(1), flaws=(("pinholing", "slight"),), verdict="keep")
GLOSSY = Judgement(
    "glossy", "transparent", Decimal(4), flaws=(("crazing", "severe"), ("pinholing", "marked"))
)

judgements = st.builds(
    Judgement,
    surface=st.sampled_from(["", *Surface.values()]),
    opacity=st.sampled_from(["", *Opacity.values()]),
    run_mm=st.none() | st.decimals(0, LONGEST_RUN_MM, places=1),
    runs_off=st.booleans(),
    pooling=st.sampled_from(["", *Degree.values()]),
    breaking=st.sampled_from(["", *Degree.values()]),
    gloss_gu=st.none() | st.decimals(0, 200, places=1),
    verdict=st.sampled_from(["", *Verdict.values()]),
    remark=st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=40),
    flaws=st.dictionaries(st.sampled_from(FlawKind.values()), st.sampled_from(Severity.values())).map(
        lambda flaws: in_order(list(flaws.items()))
    ),
)


@pytest.fixture
def firing():
    return FiringFactory(number=231, fired=True)


@pytest.fixture
def tile():
    return glaze_tile(TileFactory(number=1042), (GlazeFactory(), {"band 1": 1, "band 2": 2, "back": 3}))


@pytest.fixture
def outcomes(tile, firing):
    return fired_outcomes(tile, firing)


def standing(outcome):
    return services.judgement_of(Outcome.objects.prefetch_related("flaws").get(pk=outcome.pk))


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=40, deadline=None)
@given(first=judgements, second=judgements)
def test_any_judgement_is_read_back_as_it_was_given_and_undone_to_what_stood(
    outcomes, recorder, first, second
):
    outcome = Outcome.objects.get(pk=outcomes[0].pk)
    record_judgement(outcome, first, by=recorder)
    assert standing(outcome) == first
    record_judgement(outcome, second, by=recorder)
    assert standing(outcome) == second
    if first != second:
        services.undo_judgement([outcome], mark_of(outcome.judged_at), by=recorder)

    assert standing(outcome) == first


def test_a_judgement_says_who_and_when(outcomes, recorder):
    outcome = record_judgement(outcomes[0], SATIN, by=recorder)

    assert outcome.judged_by == recorder
    assert outcome.judged_at is not None
    assert outcome.history.first().history_user == recorder


def test_the_conditions_of_an_outcome_stay_as_they_were(outcomes, recorder):
    before = {
        name: getattr(outcomes[0], name)
        for name in ("stack_key", "reached_number", "fired_on", "coats_total")
    }
    outcome = record_judgement(outcomes[0], SATIN, by=recorder)

    assert {name: getattr(outcome, name) for name in before} == before


def test_zones_of_a_tile_are_judged_at_one_moment(outcomes, recorder):
    moment = services.judge_zones({row.pk: SATIN for row in outcomes}, {}, by=recorder)

    assert {row.judged_at for row in Outcome.objects.all()} == {moment}


def test_undo_brings_back_what_stood_before_with_its_flaws(outcomes, recorder, keeper):
    outcome = record_judgement(outcomes[0], SATIN, by=keeper)
    outcome = record_judgement(outcome, GLOSSY, by=recorder)
    services.undo_judgement([outcome], mark_of(outcome.judged_at), by=recorder)
    outcome.refresh_from_db()

    assert standing(outcome) == SATIN
    assert outcome.judged_by == keeper


def test_undo_of_the_first_judgement_leaves_the_zone_unjudged(outcomes, recorder):
    moment = services.judge_zones({row.pk: SATIN for row in outcomes}, {}, by=recorder)
    undone = services.undo_judgement(outcomes, mark_of(moment), by=recorder)

    assert undone == 3
    assert not Outcome.objects.judged().exists()
    assert not Flaw.objects.exists()
    assert Flaw.history.exists()


def test_undo_leaves_alone_what_was_measured_meanwhile(outcomes, recorder):
    outcome = record_judgement(outcomes[0], SATIN, by=recorder)
    outcome.lab_l, outcome.lab_a, outcome.lab_b, outcome.lab_basis = 50, 0, 0, "chart"
    outcome.save()
    services.undo_judgement([outcome], mark_of(outcome.judged_at), by=recorder)
    outcome.refresh_from_db()

    assert outcome.lab_l == 50
    assert not outcome.is_judged


def test_undo_twice_or_after_a_later_judgement_is_refused(outcomes, recorder):
    outcome = record_judgement(outcomes[0], SATIN, by=recorder)
    first = mark_of(outcome.judged_at)
    record_judgement(outcome, GLOSSY, by=recorder)

    with pytest.raises(CannotUndo):
        services.undo_judgement([outcome], first, by=recorder)
    assert standing(outcome) == GLOSSY


def test_a_judgement_made_meanwhile_by_another_is_not_laid_over(outcomes, recorder, keeper):
    outcome = outcomes[0]
    record_judgement(outcome, SATIN, by=keeper)

    with pytest.raises(services.JudgedMeanwhile) as late:
        services.judge_zones({outcome.pk: GLOSSY}, {outcome.pk: None}, by=recorder)
    assert late.value.outcomes == [outcome]
    assert standing(outcome) == SATIN


def test_when_one_zone_is_late_none_is_kept(outcomes, recorder, keeper):
    record_judgement(outcomes[0], SATIN, by=keeper)

    with pytest.raises(services.JudgedMeanwhile):
        services.judge_zones({row.pk: GLOSSY for row in outcomes}, {}, by=recorder)
    assert Outcome.objects.judged().count() == 1


def test_the_same_judgement_sent_twice_is_kept_once(outcomes, recorder):
    """A phone that lost the answer sends again."""
    services.judge_zones({outcomes[0].pk: SATIN}, {}, by=recorder)
    versions = outcomes[0].history.count()

    assert services.judge_zones({outcomes[0].pk: SATIN}, {}, by=recorder) is None
    assert outcomes[0].history.count() == versions


@pytest.mark.parametrize("state", [FiringState.PLANNED, FiringState.LOADED])
def test_nothing_is_judged_before_the_fire(tile, recorder, state):
    outcomes = fired_outcomes(tile, FiringFactory(state=state.value))

    with pytest.raises(services.NotFired, match=f"is still {state.value}"):
        record_judgement(outcomes[0], SATIN, by=recorder)
    assert not Outcome.objects.judged().exists()


def test_marks_and_moments_are_the_same_thing(outcomes, recorder):
    moment = services.judge_zones({outcomes[0].pk: SATIN}, {}, by=recorder)

    assert services.moment_of(mark_of(moment)) == moment
    assert mark_of(None) == 0


class TestRows:
    def test_tiles_come_as_one_unloads_the_top_shelf_first(self, firing, recorder):
        low, top = ShelfFactory(kiln=firing.kiln, position=1), ShelfFactory(kiln=firing.kiln, position=4)
        for number, shelf in ((1003, low), (1002, top), (1001, low), (1004, None)):
            tile = glaze_tile(TileFactory(number=number), (GlazeFactory(), {"band 1": 1}))
            fired_outcomes(tile, firing, shelf=shelf)
        rows = queries.unloading_of(firing).rows

        assert [row.placement.tile.number for row in rows] == [1002, 1001, 1003, 1004]

    def test_the_next_tile_is_below_and_then_from_the_top(self, firing, recorder):
        for number in (1001, 1002, 1003):
            tile = glaze_tile(TileFactory(number=number), (GlazeFactory(), {"band 1": 1}))
            fired_outcomes(tile, firing)
        services.judge_zones({Outcome.objects.get(tile__number=1003).pk: SATIN}, {}, by=recorder)
        unloading = queries.unloading_of(firing)

        assert unloading.next_after(1001).placement.tile.number == 1002
        assert unloading.next_after(1002).placement.tile.number == 1001
        assert (unloading.done, unloading.total, unloading.is_done) == (1, 3, False)

    def test_a_tile_without_glaze_is_nothing_to_judge(self, firing):
        fired_outcomes(TileFactory(), firing)
        unloading = queries.unloading_of(firing)

        assert (unloading.done, unloading.total) == (0, 0)
        assert unloading.next_after(None) is None

    def test_the_last_tile_of_this_person_is_taken_over_by_the_names_of_zones(
        self, firing, tile, outcomes, recorder, keeper
    ):
        other = glaze_tile(TileFactory(number=1001), (GlazeFactory(), {"band 1": 1, "band 3": 1}))
        made = fired_outcomes(other, firing)
        services.judge_zones({made[0].pk: SATIN, made[1].pk: GLOSSY}, {}, by=recorder)
        row = queries.unloading_of(firing).row_of(1042)

        assert queries.same_as_last(row, by=recorder) == (other.label, {outcomes[0].pk: SATIN})
        assert queries.same_as_last(row, by=keeper) == ("", {})

    def test_judging_starts_from_what_stands_or_what_the_glaze_promises(self, firing, recorder):
        tile = glaze_tile(TileFactory(), (GlazeFactory(surface="matt", opacity="opaque"), {"band 1": 1}))
        [outcome] = fired_outcomes(tile, firing)
        start = queries.start_of(outcome)
        judged = record_judgement(outcome, replace(SATIN, remark="warm"), by=recorder)

        assert (start.surface, start.opacity, start.run_mm) == ("matt", "opaque", 0)
        assert queries.start_of(judged) == replace(SATIN, remark="warm")
