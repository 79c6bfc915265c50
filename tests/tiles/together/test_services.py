"""Many results are changed alike, all or none, and one step takes exactly that back."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from firings.models import CannotUndo
from firings.moments import mark_of
from studio.models import Person
from tests.factories import FiringFactory, GlazeFactory, TileFactory, fired_outcomes, glaze_tile
from tiles.models import Flaw, Outcome
from tiles.together.change import NOT_THERE, Change
from tiles.together.services import change_together, undo_together
from tiles.unloading.judgement import Judgement
from tiles.unloading.services import SEEN, JudgedMeanwhile, judge_zones
from tiles.vocabulary import FlawKind, Opacity, Severity, Surface, Verdict

pytestmark = pytest.mark.django_db

SATIN = Judgement("satin", "opaque", Decimal(1), flaws=(("pinholing", "slight"),), remark="Buttery.")


@pytest.fixture
def outcomes() -> list[Outcome]:
    tile = glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 1, "band 2": 2, "band 3": 3}))
    return fired_outcomes(tile, FiringFactory(fired=True))


@pytest.fixture
def judged(outcomes: list[Outcome], recorder: Person) -> list[Outcome]:
    """Two are judged, the third is not."""
    judge_zones({one.pk: SATIN for one in outcomes[:2]}, {one.pk: None for one in outcomes[:2]}, by=recorder)
    for one in outcomes:
        one.refresh_from_db()
    return outcomes


def seen(outcomes: list[Outcome]) -> dict[int, Any]:
    return {one.pk: one.judged_at for one in outcomes}


def standing() -> dict[int, Any]:
    """All that stands on each result, read by itself."""
    return {
        row["pk"]: (row, sorted(Flaw.objects.filter(outcome=row["pk"]).values_list("kind", "severity")))
        for row in Outcome.objects.values("pk", *SEEN, "judged_by", "judged_at")
    }


def test_all_ticked_results_say_what_was_chosen_and_keep_the_rest(judged, keeper):
    done = change_together(seen(judged[:2]), Change(verdict="reject", remark="Too runny."), by=keeper)

    assert len(done.came_to.changed) == 2
    for one in Outcome.objects.filter(verdict="reject").prefetch_related("flaws"):
        assert (one.surface, one.remark) == ("satin", "Buttery. Too runny.")
        assert [flaw.kind for flaw in one.flaws.all()] == ["pinholing"]
        assert one.judged_by == keeper
    assert Outcome.objects.filter(verdict="reject").count() == 2


def test_a_verdict_alone_is_no_judgement_of_what_nobody_judged(judged, keeper):
    done = change_together(seen(judged), Change(verdict="keep"), by=keeper)

    assert done.came_to.unjudged == (judged[2].pk,)
    assert Outcome.objects.get(pk=judged[2].pk).judged_at is None


def test_a_flaw_is_set_on_all_and_taken_off_all(judged, keeper):
    change_together(seen(judged), Change(flaw="crazing", severity="severe"), by=keeper)
    fresh = list(Outcome.objects.all())
    assert Flaw.objects.filter(kind="crazing", severity="severe").count() == 3

    change_together(seen(fresh), Change(flaw="crazing", severity=NOT_THERE), by=keeper)

    assert not Flaw.objects.filter(kind="crazing").exists()
    assert Flaw.objects.filter(kind="pinholing").count() == 2


def test_what_somebody_judged_meanwhile_stops_all_of_it(judged, recorder, keeper):
    shown = seen(judged)
    judge_zones({judged[0].pk: replace(SATIN, surface="matt")}, shown, by=recorder)
    before = standing()

    with pytest.raises(JudgedMeanwhile) as late:
        change_together(shown, Change(verdict="reject"), by=keeper)

    assert [row.pk for row in late.value.outcomes] == [judged[0].pk]
    assert standing() == before


def test_undo_leaves_and_names_what_was_judged_again_since(judged, recorder, keeper):
    before = standing()
    done = change_together(seen(judged[:2]), Change(verdict="reject"), by=keeper)
    again = replace(SATIN, surface="matt", verdict="keep")
    judge_zones({judged[0].pk: again}, {judged[0].pk: done.moment}, by=recorder)

    undone = undo_together(mark_of(done.moment), by=keeper)

    assert (undone.count, [row.pk for row in undone.left]) == (1, [judged[0].pk])
    assert standing()[judged[1].pk] == before[judged[1].pk]
    assert Outcome.objects.get(pk=judged[0].pk).surface == "matt"


def test_a_second_undo_finds_nothing_and_says_so(judged, keeper):
    done = change_together(seen(judged), Change(surface="dry"), by=keeper)
    undo_together(mark_of(done.moment), by=keeper)
    before = standing()

    with pytest.raises(CannotUndo):
        undo_together(mark_of(done.moment), by=keeper)

    assert standing() == before


def test_nobody_undoes_what_another_changed(judged, recorder, keeper):
    done = change_together(seen(judged), Change(surface="dry"), by=keeper)

    with pytest.raises(CannotUndo):
        undo_together(mark_of(done.moment), by=recorder)

    assert Outcome.objects.filter(surface="dry").count() == 3


changes = st.builds(
    Change,
    surface=st.sampled_from(["", *Surface.values()]),
    opacity=st.sampled_from(["", *Opacity.values()]),
    verdict=st.sampled_from(["", *Verdict.values()]),
    remark=st.sampled_from(["", "Thin.", "Buttery."]),
    flaw=st.sampled_from(FlawKind.values()),
    severity=st.sampled_from([*Severity.values(), NOT_THERE]),
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=25, deadline=None)
@given(st.lists(changes, min_size=1, max_size=3))
def test_any_changes_one_after_the_other_are_undone_to_exactly_what_stood(judged, keeper, several):
    steps = []
    for change in several:
        before = standing()
        done = change_together(seen(list(Outcome.objects.all())), change, by=keeper)
        steps.append((before, done.moment))

    for before, moment in reversed(steps):
        if moment:
            undo_together(mark_of(moment), by=keeper)
        assert standing() == before


def test_what_was_laid_in_without_a_history_is_undone_to_what_stood_too(judged, keeper):
    Outcome.history.all().delete()
    Flaw.history.all().delete()
    before = standing()

    done = change_together(
        seen(judged), Change(verdict="reject", flaw="pinholing", severity=NOT_THERE), by=keeper
    )
    undo_together(mark_of(done.moment), by=keeper)

    assert standing() == before


def test_taking_back_more_takes_few_queries_more_to_look_up(recorder, keeper):
    firing, glaze = FiringFactory(fired=True), GlazeFactory()

    def undone(tiles: int) -> int:
        made = [
            outcome
            for _ in range(tiles)
            for outcome in fired_outcomes(glaze_tile(TileFactory(), (glaze, {"band 1": 1})), firing)
        ]
        judge_zones({one.pk: SATIN for one in made}, {one.pk: None for one in made}, by=recorder)
        fresh = list(Outcome.objects.filter(pk__in=[one.pk for one in made]))
        done = change_together(seen(fresh), Change(verdict="keep"), by=keeper)
        with CaptureQueriesContext(connection) as asked:
            undo_together(mark_of(done.moment), by=keeper)
        return sum(query["sql"].startswith("SELECT") for query in asked)

    assert undone(1) == undone(5)
