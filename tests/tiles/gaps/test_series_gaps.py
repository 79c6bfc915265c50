"""A series against what was fired: combinations, the pairs they meet in, and what is still to be made."""

import re
from dataclasses import replace
from itertools import combinations, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.counting import queries_of
from tests.factories import (
    CONE_5,
    CONE_6,
    FiringFactory,
    GlazeBatchFactory,
    SeriesFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tests.tiles.planner.conftest import bench, kept  # noqa: F401
from tiles.columns.queries import read_now
from tiles.gaps.series.asked import against
from tiles.gaps.series.queries import _standing, fired_of, series_page
from tiles.models import GlazeBatch, Series
from tiles.planner.queries import existing, on_hand
from tiles.plans.covering import ImpossiblePlan
from tiles.plans.sketch import NeverRule, Sketch

FACTORS = ("glaze", "coats", "body", "cone")
LEVELS = st.fixed_dictionaries(
    {factor: st.integers(1, 3).map(lambda n: tuple(map(str, range(1, n + 1)))) for factor in FACTORS}
)
FIRED = st.lists(
    st.fixed_dictionaries({factor: st.integers(1, 4).map(str) for factor in FACTORS}), max_size=20
)
RULES = st.lists(
    st.tuples(
        st.sampled_from(FACTORS),
        st.integers(1, 3).map(str),
        st.sampled_from(["with", "above", "below"]),
        st.sampled_from(("coats", "cone")),
        st.integers(1, 3).map(str),
    ),
    max_size=3,
)


def forbidden(one, rules):
    """Whether a rule in words speaks against a combination, read afresh from the words."""
    return any(
        factor != other
        and one[factor] == level
        and {
            "with": one[other] == bound,
            "above": int(one[other]) > int(bound),
            "below": int(one[other]) < int(bound),
        }[verb]
        for factor, level, verb, other, bound in rules
    )


def pairs_of(one):
    return {frozenset(pair) for pair in combinations(one.items(), 2)}


@given(LEVELS, RULES, FIRED)
def test_a_pairwise_checker_that_knows_nothing_of_plans_finds_the_same(levels, rules, fired):
    every = [dict(zip(FACTORS, one, strict=True)) for one in product(*(levels[factor] for factor in FACTORS))]
    allowed = [one for one in every if not forbidden(one, rules)]
    done = [one for one in allowed if one in fired]
    varied = {factor for factor in FACTORS if len(levels[factor]) > 1}

    def of_varied(some):
        return {
            pair
            for one in some
            for pair in pairs_of({factor: level for factor, level in one.items() if factor in varied})
        }

    try:
        found = against(Sketch(levels=levels, rules=tuple(NeverRule(*rule) for rule in rules)), {}, fired)
    except ImpossiblePlan:
        assert not allowed
        return

    assert (found.asked, found.fired) == (len(allowed), len(done))
    assert (found.pairs.possible, found.pairs.shown) == (len(of_varied(allowed)), len(of_varied(done)))
    missing = {tuple(one[factor] for factor in FACTORS) for one in found.missing}
    never_fired = {tuple(one.values()) for one in allowed if one not in done}
    assert missing <= never_fired
    assert len(missing) == len(found.missing) == min(len(never_fired), 60)
    for table in found.tables:
        for level, row in zip(table.row_levels, table.counts, strict=True):
            for other, count in zip(table.column_levels, row, strict=True):
                both = {table.rows: level, table.columns: other}.items()
                assert (count or 0) == sum(both <= one.items() for one in done)
                assert (count is None) == (not any(both <= one.items() for one in allowed))


@pytest.fixture
def fired(kept, bench):  # noqa: F811
    """Of the plan: Harbour alone on two bodies at cone 6 in one and two coats; a body that is not asked for as well."""
    firing = FiringFactory(fired=True, reached_order=CONE_6)
    for body in (bench.bodies[0], bench.bodies[1], None):
        where = {} if body is None else {"body": body}
        tile = TileFactory(form=bench.form, **where)
        fired_outcomes(glaze_tile(tile, (bench.harbour, {"band 1": 1, "band 2": 2})), firing)
    return kept


@pytest.mark.django_db
def test_the_gaps_page_tells_what_a_series_lacks(viewer_client, fired):
    page = " ".join(viewer_client.get("/gaps/").content.decode().split())

    # 2 under × 2 over × 3 coats × 3 bodies × 3 cones; the factors have 2, 2, 3, 3 and 3 levels
    assert "4 of 108" in page
    assert f'href="/gaps/series/{fired.pk}/"' in page
    # Pairs met: nothing under and over with one another (1), each with 2 coats, 2 bodies, 1 cone (10), coats with
    # bodies 4 and cone 2, bodies with cone 2; of 4 + 6 × 6 + 9 × 3 that can meet
    assert "19 of 67" in page


@pytest.mark.django_db
def test_a_series_page_crosses_each_two_of_its_conditions(viewer_client, fired):
    page = viewer_client.get(f"/gaps/series/{fired.pk}/")
    words = " ".join(page.content.decode().split())
    (table,) = [one for one in page.context["page"].tables if one.title == "Coats and clay body"]

    assert table.columns == ["Quay white", "Dune speckled", "Peat dark"]
    assert table.rows == [("1 coat", (1, 1, 0)), ("2 coats", (1, 1, 0)), ("3 coats", (0, 0, 0))]
    assert "Never fired: the first 60 combinations" in words
    assert "Plan what is missing" not in words


@pytest.mark.django_db
def test_memory_and_the_database_find_the_same_combinations_of_a_plan(kept, bench):  # noqa: F811
    harbour, flux = bench.harbour, bench.flux
    for order, body in product((CONE_5, CONE_6), bench.bodies[:2]):
        firing = FiringFactory(fired=True, reached_order=order)
        for layers in (
            [(harbour, {"band 1": 1, "band 2": 2})],
            [(flux, {"band 1": 1}), (harbour, {"band 1": 2, "band 2": 3})],
            [(harbour, {"band 1": 2}), (flux, {"band 1": 1, "band 2": 2})],
            [(flux, {"band 1": 1}), (harbour, {"band 1": 1}), (flux, {"band 1": 1})],
        ):
            fired_outcomes(glaze_tile(TileFactory(form=bench.form, body=body), *layers), firing)
    plan = Sketch.from_json({name: its for name, its in kept.plan.items() if name != "made"})
    hand, found = on_hand(), {}
    for others in ((), (str(flux.pk),)):
        levels = {**plan.levels, "under": ("none", *others), "over": ("none", *others)}
        sketch = replace(plan, levels=levels)
        in_memory = against(sketch, {}, fired_of(kept, sketch, read_now(), hand))
        by_database = [one.combination for one in existing(sketch, hand, kept).fired]
        assert in_memory == against(sketch, {}, by_database)
        found[others] = in_memory.fired

    # On two bodies at two cones: alone in 1, 2 and 3 coats; with the flux in 2 coats over it, in 2 under it, and in 1
    # between it
    assert found == {(): 12, (str(flux.pk),): 24}


@pytest.mark.django_db
def test_a_changed_plan_and_a_changed_lot_are_answered_anew(kept, bench):  # noqa: F811
    own = GlazeBatchFactory(glaze=bench.harbour, lot="7")
    other = GlazeBatchFactory(glaze=bench.flux, lot="8")
    held, plan = (
        read_now(),
        Sketch.from_json({name: its for name, its in kept.plan.items() if name != "made"}),
    )

    def asked(sketch):
        (one,) = _standing([(kept, sketch)], held, on_hand())
        return one.found.asked

    lots = {**plan.levels, "lot": (str(own.pk), str(other.pk))}
    assert asked(plan) == asked(plan) == 108
    assert asked(replace(plan, levels={**plan.levels, "coats": ("1", "2")})) == 72
    # The other lot is not harbour's, until it is
    assert asked(replace(plan, levels=lots)) == 108
    GlazeBatch.objects.filter(pk=other.pk).update(glaze=bench.harbour)
    assert asked(replace(plan, levels=lots)) == 216


@pytest.mark.django_db
def test_what_waits_on_tiles_is_said_apart(kept, bench):  # noqa: F811
    tile = TileFactory(form=bench.form, body=bench.bodies[0], planned_order=CONE_5)
    glaze_tile(tile, (bench.harbour, {"band 1": 1, "band 2": 3}))
    page = series_page(kept)

    assert (page.standing.found.fired, page.waiting) == (0, 2)


@pytest.mark.django_db
def test_where_others_do_not_count_only_its_own_tiles_do(fired, bench):  # noqa: F811
    Series.objects.filter(pk=fired.pk).update(plan={**fired.plan, "existing_counts": False})
    own = TileFactory(form=bench.form, body=bench.bodies[2], series=fired)
    fired_outcomes(
        glaze_tile(own, (bench.harbour, {"band 1": 3})), FiringFactory(fired=True, reached_order=CONE_6)
    )

    assert series_page(Series.objects.get(pk=fired.pk)).standing.found.fired == 1


@pytest.mark.django_db
def test_the_keeper_of_a_plan_goes_on_with_it(recorder_client, fired):
    page = recorder_client.get(f"/gaps/series/{fired.pk}/").content.decode()
    link = re.search(r'href="([^"]+)">[^<]*<svg[^>]*>.*?Plan what is missing', page, re.DOTALL)[1]

    assert recorder_client.get(link).status_code == 200


@pytest.mark.django_db
def test_a_series_whose_plan_cannot_be_read_says_so(viewer_client):
    later = SeriesFactory(name="From tomorrow", plan={"version": 99})
    empty = SeriesFactory(name="Not planned")

    assert "This plan was kept in version 99" in viewer_client.get("/gaps/").content.decode()
    assert "version 99" in viewer_client.get(f"/gaps/series/{later.pk}/").content.decode()
    assert (
        "Nothing was planned or glazed yet" in viewer_client.get(f"/gaps/series/{empty.pk}/").content.decode()
    )


@pytest.mark.django_db
def test_without_a_plan_the_levels_its_tiles_show_are_crossed(viewer_client, bench):  # noqa: F811
    series, firing = SeriesFactory(name="Made by hand"), FiringFactory(fired=True, reached_order=CONE_6)
    for body, coats in zip(bench.bodies[:2], (1, 2), strict=True):
        tile = TileFactory(form=bench.form, body=body, series=series, planned_order=CONE_6)
        fired_outcomes(glaze_tile(tile, (bench.harbour, {"band 1": coats})), firing)
    words = " ".join(viewer_client.get(f"/gaps/series/{series.pk}/").content.decode().split())

    assert "2 of 4 combinations fired; 2 of 4 pairs" in words
    assert "It has no plan: the levels its tiles show are crossed." in words


@pytest.mark.django_db
def test_the_gaps_page_asks_as_often_for_many_series_as_for_one(viewer_client, fired):
    addresses = ("/gaps/", f"/gaps/series/{fired.pk}/")
    before = [queries_of(viewer_client, address) for address in addresses]
    for number in range(4):
        SeriesFactory(name=f"Again {number}", plan=fired.plan)

    assert [queries_of(viewer_client, address) for address in addresses] == before
