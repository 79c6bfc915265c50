"""One change apart in the database: as brute force finds it, in a constant number of queries."""

import random
from datetime import UTC, datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.factories import (
    CONE_5,
    CONE_6,
    ClayBodyFactory,
    FiringFactory,
    GlazeBatchFactory,
    GlazeFactory,
    KilnFactory,
    TileFactory,
    TileFormFactory,
    fired_outcomes,
    glaze_tile,
)
from tests.tiles.apart.studios import random_studio
from tiles.apart.queries import one_change_apart, plan_address
from tiles.columns.queries import read_now
from tiles.conditions.apart import Condition, difference
from tiles.conditions.queries import conditions_of
from tiles.models import Outcome

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("in_memory", [False, True])
@pytest.mark.parametrize("seed", range(3))
def test_what_is_found_is_what_brute_force_finds(seed, in_memory, monkeypatch):
    random_studio(random.Random(seed), tiles=36)
    held = read_now() if in_memory else None
    monkeypatch.setattr("tiles.apart.queries.standing", lambda: held)
    everything = list(Outcome.objects.for_display().fired())
    facts = {outcome.pk: conditions_of(outcome) for outcome in everything}
    found_any = 0

    for outcome in random.Random(seed).sample(everything, 25):
        found = {
            (row.row.condition, row.row.layer, key)
            for row in one_change_apart(outcome, may_plan=False).rows
            for place in row.row.places
            for key in place.keys
        }
        expected = set()
        for key, theirs in facts.items():
            if change := difference(facts[outcome.pk], theirs):
                expected.add((change.condition, change.layer, key))

        assert found == expected
        found_any += len(found)
    assert found_any > 12


def test_what_is_in_the_bin_or_not_fired_is_not_found(recorder):
    glaze, body, form = GlazeFactory(), ClayBodyFactory(), TileFormFactory()
    kiln = KilnFactory()
    firing = FiringFactory(fired=True, kiln=kiln)
    mine, kept, binned, unfired = (
        glaze_tile(TileFactory(body=body, form=form), (glaze, {"band 1": coats})) for coats in (1, 2, 3, 4)
    )
    (outcome,) = fired_outcomes(mine, firing)
    fired_outcomes(kept, firing)
    fired_outcomes(binned, firing)
    fired_outcomes(unfired, FiringFactory(kiln=kiln))
    binned.put_in_bin(by=recorder)

    (row,) = one_change_apart(outcome, may_plan=False).rows

    assert [place.level.words for place in row.row.places] == ["×1", "×2"]


def test_queries_do_not_grow_with_what_is_found():
    glaze, body, form, firing = (
        GlazeFactory(),
        ClayBodyFactory(),
        TileFormFactory(),
        FiringFactory(fired=True),
    )

    def asked(coats):
        for number in coats:
            tile = glaze_tile(TileFactory(body=body, form=form), (glaze, {"band 1": number}))
            (outcome,) = fired_outcomes(tile, firing)
        with CaptureQueriesContext(connection) as captured:
            block = one_change_apart(outcome, may_plan=True)
        return len(captured), block.result_count

    assert asked([1, 2]) == (11, 1)
    assert asked([3, 4, 5, 6]) == (11, 5)


def test_a_level_to_plan_leads_to_new_tiles_with_that_change():
    glaze = GlazeFactory(cone_low_order=CONE_5, cone_high_order=CONE_6, coats_high=3)
    lot = GlazeBatchFactory(glaze=glaze, lot="26-007")
    body = ClayBodyFactory(name="Peat dark")
    FiringFactory(target_order=CONE_5)
    tile = glaze_tile(TileFactory(), (glaze, {"band 1": 2}))
    (outcome,) = fired_outcomes(tile, FiringFactory(fired=True))

    block = one_change_apart(outcome, may_plan=True)
    plans = {
        (row.row.condition, stand.place.level.words): stand.plan for row in block.rows for stand in row.stands
    }

    again = f"/tiles/{tile.label}/again/"
    assert plans[Condition.CONE, "5"] == f"{again}?cone=5"
    assert plans[Condition.COATS, "×3"] == f"{again}?coats=3&layer=1&zone=band+1"
    assert plans[Condition.BODY, "Peat dark"] == f"{again}?body={body.pk}&cone=6"
    assert plans[Condition.LOT, "26-007"] == f"{again}?lot={lot.pk}&layer=1&zone=band+1"
    assert not one_change_apart(outcome, may_plan=False).rows


def test_the_best_result_of_a_level_is_shown():
    glaze, body, form = GlazeFactory(), ClayBodyFactory(), TileFormFactory()
    firing = FiringFactory(fired=True)
    (mine,) = fired_outcomes(glaze_tile(TileFactory(body=body, form=form), (glaze, {"band 1": 1})), firing)
    (judged,) = fired_outcomes(glaze_tile(TileFactory(body=body, form=form), (glaze, {"band 1": 2})), firing)
    fired_outcomes(glaze_tile(TileFactory(body=body, form=form), (glaze, {"band 1": 2})), firing)
    Outcome.objects.filter(pk=judged.pk).update(judged_at=datetime(2026, 10, 15, tzinfo=UTC))

    (row,) = one_change_apart(mine, may_plan=False).rows

    assert [stand.outcome for stand in row.stands] == [mine, judged]
    assert len(row.stands[1].place.keys) == 2
    assert row.compare == f"/results/compare/?o={mine.pk}&o={judged.pk}"
    assert plan_address(mine, row.row, row.row.places[1].level).endswith("?coats=2&layer=1&zone=band+1")
