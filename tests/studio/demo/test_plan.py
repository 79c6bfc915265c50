"""The year of the demo studio could have happened."""

from collections import Counter
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firings.cones import series
from firings.heatwork.witness import decimal_cone
from firings.vocabulary import Atmosphere, FiringState, Purpose
from studio.demo import outcomes
from studio.demo.firing_plan import FIRINGS, PROGRAMMES, bends, programme_of
from studio.demo.judging import judge
from studio.demo.plan import shortened, story
from studio.demo.reading import demo_catalogue
from tiles import numbers
from tiles.vocabulary import Degree, FlawKind, Method, Opacity, Severity, Surface, Verdict

SHELVES = demo_catalogue()
TODAY = date(2026, 11, 25)
YEAR = story(SHELVES, TODAY, numbers.FIRST)
THROUGH = [one for one in FIRINGS if one.state in (FiringState.FIRED, FiringState.UNLOADED)]


def test_there_are_tiles_and_firings_enough():
    # The demo promises at least 150 tiles over 12 firings.
    assert len(YEAR.tiles) >= 150
    assert len(THROUGH) >= 12


def test_firings_cover_both_purposes_both_atmospheres_and_four_cones():
    assert {one.purpose for one in THROUGH} == {Purpose.BISQUE, Purpose.GLAZE}
    assert {one.atmosphere for one in THROUGH} == {Atmosphere.OXIDATION, Atmosphere.REDUCTION}
    assert {one.target for one in THROUGH if one.purpose == Purpose.GLAZE} == {"04", "5", "6", "10"}
    assert {bool(one.hold_min) for one in THROUGH if one.target == "6"} == {True, False}
    assert {one.evidence for one in THROUGH} == {"witness", "controller", "target"}


def test_one_firing_is_loaded_one_half_unloaded_one_planned():
    states = Counter(one.state for one in FIRINGS)
    visits = [visit for visit in outcomes.visits(YEAR) if visit.firing.number == YEAR.half_unloaded]
    out = [outcomes.is_out(visit, YEAR) for visit in visits]

    assert (states["loaded"], states["fired"], states["planned"]) == (1, 1, 1)
    assert 0 < sum(out) < len(out)


def test_everything_lies_before_the_day_of_loading():
    assert all(one.days_ago >= 2 for one in FIRINGS)
    assert all(outcomes.unloaded_at(one, TODAY).date() < TODAY for one in THROUGH)
    assert all(tile.glazed_on < TODAY for tile in YEAR.tiles if tile.glazed_on)


def test_firings_are_numbered_as_they_happened():
    assert [one.number for one in FIRINGS] == list(range(1, len(FIRINGS) + 1))
    assert sorted((one.days_ago for one in FIRINGS), reverse=True) == [one.days_ago for one in FIRINGS]


def test_no_two_tiles_share_a_number():
    found = [tile.number for tile in YEAR.tiles]

    assert found == list(range(numbers.FIRST, numbers.FIRST + len(found)))


def test_a_tile_is_bisqued_before_it_is_glazed_and_glazed_before_it_is_fired():
    days = {one.number: one.days_ago for one in FIRINGS}
    for tile in YEAR.tiles:
        if tile.glazed_on and tile.places:
            glazed = (TODAY - tile.glazed_on).days
            assert days[tile.bisque] > glazed > days[tile.places[0].firing]


def test_a_refired_tile_goes_through_two_firings_in_their_order():
    refired = [tile for tile in YEAR.tiles if len(tile.places) > 1]

    assert len(refired) >= 6
    assert all(tile.places[0].firing < tile.places[1].firing for tile in refired)
    assert any(layer.after_firings for tile in refired for layer in tile.draft.layers)


def test_a_shelf_that_is_named_exists_and_a_runner_stands_on_a_cookie():
    for tile in YEAR.tiles:
        runners = [layer for layer in tile.draft.layers if SHELVES.glazes[layer.glaze].known_runner]
        for visit in (visit for visit in outcomes.visits(YEAR) if visit.tile is tile):
            runner = any(layer.after_firings < visit.sequence for layer in runners)
            assert 1 <= visit.place.shelf <= len(SHELVES.kilns[visit.firing.kiln].shelves)
            assert visit.place.on_cookie == runner


def test_layers_lie_on_zones_of_their_form_by_known_methods():
    for tile in YEAR.tiles:
        zones = {zone.name for zone in SHELVES.forms[tile.draft.form].zones}
        for layer in tile.draft.layers:
            assert set(layer.zones) <= zones
            assert layer.method in Method.values()
            assert all(amount > 0 for amount in layer.zones.values())


def test_each_series_asks_a_question():
    assert all("?" in one.question or "should" in one.question for one in YEAR.series)
    assert len({one.name for one in YEAR.series}) == len(YEAR.series) >= 10


def test_the_same_day_tells_the_same_story():
    assert story(SHELVES, TODAY, numbers.FIRST) == YEAR
    first, second = (list(outcomes.shots(YEAR, SHELVES, TODAY))[:5] for _ in range(2))
    assert first == second


def test_a_shortened_year_keeps_every_so_manyth_tile():
    assert shortened(YEAR, 10).tiles == YEAR.tiles[::10]


def test_every_judgement_uses_the_words_of_the_closed_lists():
    for visit in (visit for visit in outcomes.visits(YEAR) if outcomes.is_out(visit, YEAR)):
        for fired in outcomes.judged_zones(visit, SHELVES).values():
            found = judge(fired)
            assert found.surface in Surface.values()
            assert found.opacity in Opacity.values()
            assert {found.pooling, found.breaking} <= {*Degree.values(), ""}
            assert found.verdict in {*Verdict.values(), ""}
            assert all(kind in FlawKind.values() and word in Severity.values() for kind, word in found.flaws)
            assert 0 <= found.gloss_gu <= 100


def test_results_are_varied():
    judged = [
        judge(fired)
        for visit in outcomes.visits(YEAR)
        if outcomes.is_out(visit, YEAR)
        for fired in outcomes.judged_zones(visit, SHELVES).values()
    ]
    kinds = Counter(kind for one in judged for kind, _ in one.flaws)

    assert {one.surface for one in judged} == set(Surface.values())
    assert {one.opacity for one in judged} == set(Opacity.values())
    assert {one.verdict for one in judged} >= set(Verdict.values())
    assert len(kinds) >= 10
    assert any(one.ran_off for one in judged)
    assert sum(bool(one.remark) for one in judged) > 50


def test_some_photos_wait_in_the_tray_and_some_show_the_back():
    shots = list(outcomes.shots(YEAR, SHELVES, TODAY))

    assert sum(shot.in_tray for shot in shots) >= 4
    assert sum(shot.face == "back" for shot in shots) >= 8
    assert len({shot.name for shot in shots}) == len(shots)
    assert any(shot.shaken for shot in shots)


@given(st.sampled_from(["04", "5", "6", "10"]), st.floats(-0.9, 0.9))
def test_witness_cones_read_back_as_the_cone_that_was_reached(target, off):
    reached = float(series.of_order(series.order_of(target)).number) + off

    assert float(decimal_cone(bends(reached, target))) == pytest.approx(reached, abs=0.12)


@pytest.mark.parametrize("one", FIRINGS, ids=lambda one: f"F-{one.number:04d}")
def test_a_programme_ends_at_the_published_end_point_of_its_target(one):
    # firings/cones/cones.csv: Orton Foundation chart, self-supporting cones, 60 °C/h in the last 100 °C
    rate_c_per_h, target_c, _ = PROGRAMMES[programme_of(one)][-1]

    assert rate_c_per_h == 60
    assert target_c == series.of_order(series.order_of(one.target)).c_60
