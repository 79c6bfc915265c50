"""Results matched to differ in one thing, and what their pairs say."""

from collections import defaultdict
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from random import Random
from statistics import fmean

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.factories import CONE_5, CONE_6, CONE_10
from tests.tiles.conditions.test_words import CONDITIONS, FLUX, HARBOUR
from tests.tiles.evidence.by_hand import Result, as_columns, matched
from tiles.conditions.apart import Condition, difference
from tiles.evidence.drift import creep
from tiles.evidence.gathered import Evidence, but_lots
from tiles.evidence.lines import MEASURED, ORDERED, mean_words, signs_words
from tiles.evidence.matching import LOOKED_AT, repeated
from tiles.evidence.paired import Signs, Verdict, mean_change

STANDING = frozenset({1})
ALONE = replace(CONDITIONS, layers=(HARBOUR,), reached_order=CONE_6)
DAY = date(2026, 10, 14)


def result(key, conditions=ALONE, *, tile=None, firing=1, day=DAY, **judged):
    return Result(key, tile or key, firing, conditions, day, **judged)


def at_cone(order):
    return replace(ALONE, reached_order=order)


def effects(results):
    return Evidence(as_columns(results), STANDING).effects


def changes_of(results):
    """Every change with its pairs as keys."""
    return {
        effect.change: [effect.keys_of(place) for place in range(effect.n)] for effect in effects(results)
    }


def words_of(results):
    return {change.words for change in changes_of(results)}


def test_repeats_of_one_level_make_one_pair():
    found = changes_of([result(1, at_cone(CONE_5)), result(2, at_cone(CONE_5)), result(3, at_cone(CONE_6))])
    (change,) = [one for one in found if one.condition is Condition.CONE]

    assert change.words == "cone 5 → 6"
    assert [(sorted(before), after) for before, after in found[change]] == [([1, 2], [3])]


def test_cones_go_step_by_step_and_bodies_each_against_each():
    cones = changes_of(result(order, at_cone(order)) for order in (CONE_5, CONE_6, CONE_10))
    bodies = changes_of(result(key, replace(ALONE, body_id=key, body=f"Body {key}")) for key in (1, 2, 3))

    assert sorted(change.words for change in cones) == ["cone 5 → 6", "cone 6 → 10"]
    assert len([change for change in bodies if change.condition is Condition.BODY]) == 3


def test_a_layer_over_and_under_is_asked_from_nothing():
    flux_under = replace(ALONE, layers=(FLUX, HARBOUR))
    flux_over = replace(ALONE, layers=(HARBOUR, FLUX))

    assert words_of([result(1), result(2, flux_under), result(3, flux_over)]) == {
        "Flux L ×1 over it",
        "Flux L ×1 under it",
    }


def test_lots_that_were_not_noted_tell_nothing_of_lots():
    noted = replace(ALONE, layers=(replace(HARBOUR, batch_id=9, lot="25-001"),))
    unknown = replace(ALONE, layers=(replace(HARBOUR, batch_id=None, lot=""),))

    assert words_of([result(1), result(2, noted), result(3, unknown)]) == {
        "lot Harbour 24-118 → Harbour 25-001"
    }


def in_one_layer(facts, dice, **turned):
    place = dice.randrange(len(facts.layers))
    layers = [replace(one, **turned) if at == place else one for at, one in enumerate(facts.layers)]
    return replace(facts, layers=tuple(layers))


def on_body(facts, dice):
    body = dice.randint(3, 5)
    return replace(facts, body_id=body, body=f"Body {body}")


def of_lot(facts, dice):
    layer = dice.choice(facts.layers)
    lot = dice.randint(0, 2)
    turned = {"batch_id": layer.glaze_id * 10 + lot, "lot": f"25-{layer.glaze_id}0{lot}"}
    layers = [replace(one, **(turned if lot else UNKNOWN)) if one is layer else one for one in facts.layers]
    return replace(facts, layers=tuple(layers))


UNKNOWN = {"batch_id": None, "lot": ""}
# One thing done otherwise: results that are a step or two from one another make pairs.
OTHERWISE = (
    lambda facts, dice: replace(facts, reached_order=dice.choice([CONE_5, CONE_10, None])),
    on_body,
    lambda facts, dice: replace(facts, hold_min=dice.choice([0, 10, 15])),
    lambda facts, dice: replace(facts, kiln=dice.choice(["Anna", "Big"])),
    lambda facts, dice: replace(facts, atmosphere=dice.choice(["neutral", "reduction"])),
    lambda facts, dice: replace(facts, textured=not facts.textured),
    lambda facts, dice: replace(facts, firing_count=2),
    lambda facts, dice: in_one_layer(facts, dice, coats=dice.randint(1, 4), dip_s=None),
    lambda facts, dice: in_one_layer(facts, dice, coats=None, dip_s=Decimal("2.50")),
    lambda facts, dice: in_one_layer(facts, dice, method="spray"),
    of_lot,
    lambda facts, dice: replace(facts, layers=(FLUX, *facts.layers)),
    lambda facts, dice: replace(facts, layers=(*facts.layers, FLUX)),
    lambda facts, dice: replace(facts, layers=(*facts.layers, HARBOUR)),
    lambda facts, dice: replace(facts, layers=facts.layers[1:] or (HARBOUR,)),
)


def studio(seed, size):
    """So many results, each a step or two from the same conditions; a few on bare clay."""
    dice, results = Random(seed), []
    for key in range(1, size + 1):
        facts = ALONE
        for _ in range(dice.choice((0, 1, 1, 1, 2, 3))):
            facts = dice.choice(OTHERWISE)(facts, dice)
        if dice.random() < 0.05:
            facts = replace(facts, layers=())
        results.append(
            result(
                key,
                facts,
                tile=dice.randint(1, 40),
                firing=dice.randint(1, 3),
                day=DAY + timedelta(days=dice.randint(0, 9)),
                surface=dice.choice([None, 0, 2, 4]),
                run_mm=dice.choice([None, 0, 0.1, 2.5]),
                ran_off=dice.random() < 0.2,
                flaws=frozenset(flaw for flaw in ("crazing", "pitting") if dice.random() < 0.3),
            )
        )
    return results


some_results = st.builds(studio, st.integers(0, 10**9), st.integers(1, 60))


def sides(pairs):
    return sorted((sorted(before), sorted(after)) for before, after in pairs)


@given(some_results)
def test_every_pair_is_found_and_no_other(results):
    by_hand = {
        change: sides(
            ([one.key for one in match.before], [one.key for one in match.after]) for match in found
        )
        for change, found in matched(results).items()
    }

    assert {change: sides(pairs) for change, pairs in changes_of(results).items()} == by_hand


@given(some_results)
def test_what_pairs_say_is_what_each_says_counted_by_hand(results):
    by_hand = matched(results)
    for effect in effects(results):
        matches = by_hand[effect.change]
        found = {line.name: line.found for line in effect.lines}
        steps = []
        for match in matches:
            before, after = (
                [-one.surface for one in side if one.surface is not None]
                for side in (match.before, match.after)
            )
            if before and after:
                steps.append(fmean(after) - fmean(before))
        rose, fell = sum(step > 1e-9 for step in steps), sum(step < -1e-9 for step in steps)
        seen = [
            tuple(any("crazing" in one.flaws for one in side) for side in (match.before, match.after))
            for match in matches
        ]

        if steps:
            assert found["gloss"] == Signs(rose, fell, len(steps) - rose - fell)
        assert ("crazing" in found) == any(map(any, seen))
        if "crazing" in found:
            assert found["crazing"].only_after == seen.count((False, True))
            assert found["crazing"].only_before == seen.count((True, False))
        tiles = {one.tile_id for match in matches for one in (*match.before, *match.after)}
        assert effect.tile_count == len(tiles)


@given(some_results)
def test_repeats_and_runs_are_those_counted_by_hand(results):
    columns = as_columns(results)
    tries = defaultdict(set)
    ran = defaultdict(set)
    for one in results:
        tries[one.conditions].add((one.tile_id, one.firing_id))
        if one.ran_off:
            ran[one.conditions].add((one.tile_id, one.firing_id))
    places, of = repeated(columns)
    evidence = Evidence(columns, STANDING)

    assert len(set(of.tolist())) == sum(len(found) > 1 for found in tries.values())
    assert len(places) == sum(len(found) for found in tries.values() if len(found) > 1)
    assert evidence.results == len(results)
    assert evidence.tiles == len({one.tile_id for one in results})
    risks = evidence.risks
    for place, (stack, order, cell) in enumerate(zip(risks.stacks, risks.cones, risks.cells, strict=True)):
        behind = {one.key: one for one in results}
        keys = risks.keys_of(stack, risks.risk(place).cone)
        assert cell.n == len({(behind[key].tile_id, behind[key].firing_id) for key in keys})
        off = {(behind[key].tile_id, behind[key].firing_id) for key in keys if behind[key].ran_off}
        assert cell.ran_off == len(off)
        assert {behind[key].conditions.reached_order or 0 for key in keys} == {order}
    assert sum(len(risks.keys_of(*at)) for at in told_places(risks)) == len(results)


def told_places(risks):
    return [(stack, risks.risk(place).cone) for place, stack in enumerate(risks.stacks)]


@given(some_results)
def test_every_match_is_one_change_apart_and_every_neighbour_is_matched(results):
    by_key = {one.key: one for one in results}
    seen = set()
    for change, pairs in changes_of(results).items():
        for before, after in pairs:
            for one in before:
                for other in after:
                    found = difference(by_key[one].conditions, by_key[other].conditions)
                    if change.condition not in (Condition.OVER, Condition.UNDER):
                        assert found.condition is change.condition
                    seen |= {(one, other), (other, one)}
    for one in results:
        for other in results:
            change = difference(one.conditions, other.conditions)
            if change and change.condition in (Condition.BODY, Condition.ATMOSPHERE, Condition.KILN):
                assert change.condition in LOOKED_AT
                assert (one.key, other.key) in seen


def effect_of_cones(pairs):
    """The one change of cones that results show."""
    (found,) = [one for one in effects(pairs) if one.change.condition is Condition.CONE]
    return found


def on_bodies(number, before, after):
    """A pair at cones 5 and 6 for each of so many bodies; what was judged on each side, by its place."""
    made = []
    for place in range(number):
        body = {"body_id": place + 1, "body": f"Body {place + 1}"}
        made += [
            result(2 * place + 1, replace(at_cone(CONE_5), **body), **before(place)),
            result(2 * place + 2, replace(at_cone(CONE_6), **body), **after(place)),
        ]
    return made


def test_gloss_falls_as_the_surface_goes_from_glossy_to_dry():
    results = on_bodies(
        11,
        lambda place: {"surface": 3 if place == 10 else 0},
        lambda place: {"surface": 2 if place < 9 else 0 if place == 9 else 1},
    )
    gloss = effect_of_cones(results).lines[0]

    assert gloss.sentence == "gloss falls in 9 of 11 pairs, rises in 1"
    assert gloss.signs == Signs(1, 9, 1)
    assert gloss.is_clear


def test_sentences_say_what_the_figures_say():
    run, gloss = MEASURED[0], ORDERED[0]

    assert signs_words("gloss", Signs(0, 0, 4), gloss) == "gloss stays in all 4 pairs"
    assert signs_words("gloss", Signs(5, 0, 1), gloss) == "gloss rises in 5 of 6 pairs, falls in none"
    assert mean_words(mean_change([1.0, 2.0, 3.0]), run) == "run 2.0 mm more on average, −0.5 to 4.5"
    assert mean_words(mean_change([-1.0, -2.0, -3.0]), run) == "run 2.0 mm less on average, −0.5 to 4.5"
    assert mean_words(mean_change([-1.0, 1.0]), run) == "run the same on average, −12.7 to +12.7 mm"


def test_flaws_are_told_only_where_some_were_seen():
    results = on_bodies(6, lambda _: {"flaws": frozenset({"crazing"})}, lambda _: {})
    names = {line.name: line for line in effect_of_cones(results).lines}

    assert set(names) == {"crazing"}
    assert names["crazing"].sentence == "crazing in 0 of 6 after, 6 of 6 before"
    assert names["crazing"].is_clear


def test_a_pair_is_not_enough_to_say():
    effect = effect_of_cones(
        result(key, at_cone(order), surface=order - 28) for key, order in ((1, 28), (2, 30))
    )

    assert not effect.is_enough
    assert effect.lines[0].verdict is Verdict.NOT_ENOUGH


def test_a_single_firing_on_one_side_is_said():
    one_each = effect_of_cones([result(1, at_cone(CONE_5), firing=1), result(2, at_cone(CONE_6), firing=2)])
    (coats,) = effects([result(1), result(2, replace(ALONE, layers=(replace(HARBOUR, coats=2),)))])

    assert one_each.is_of_one_firing
    assert not coats.is_of_one_firing


def test_measured_figures_carry_a_resampled_interval_beside_students():
    results = on_bodies(8, lambda _: {"run_mm": 1.0}, lambda place: {"run_mm": 2.0 + place / 5})
    run = next(line for line in effect_of_cones(results).lines if line.name == "run")

    # Spread 0.490 of eight: 2.365 × 0.490 / √8 = 0.41 by t; a bell of spread 0.458 / √8 resampled: 0.32
    assert run.sentence == "run 1.7 mm more on average, 1.3 to 2.1"
    assert run.bootstrap == "+1.4 to +2.0"


def test_zones_alike_on_one_tile_are_one_try():
    band, back = result(1, tile=1, ran_off=True), result(2, tile=1)
    others = [result(key) for key in range(3, 14)]
    (risk,) = Evidence(as_columns([band, back, *others]), STANDING).risks.page(0, 9)

    assert (risk.ran_off, risk.n) == (1, 12)
    assert risk.chance.low < 1 / 12 < risk.chance.high


def test_tiles_that_lay_flat_tell_nothing_of_running_off():
    results = as_columns([result(key, ran_off=key == 1) for key in range(1, 14)])

    assert Evidence(results, frozenset()).risks.ran_off is None
    assert Evidence(results, STANDING).risks.ran_off.n == 13


def test_repeats_are_of_other_tiles_or_firings():
    results = [result(1, tile=1), result(2, tile=1), result(3, tile=2), result(4, tile=1, firing=2)]
    columns = as_columns(results)
    places, _ = repeated(columns)

    assert len({(columns.tiles[place], columns.firings[place]) for place in places}) == len(places) == 3


def test_a_creep_over_time_is_told_against_its_own_conditions():
    results = [
        result(
            10 * order + key,
            at_cone(order),
            firing=key,
            day=DAY + timedelta(days=73 * key),
            run_mm=start + 0.2 * key,
        )
        for order, start in ((CONE_5, 1.0), (CONE_6, 8.0))
        for key in range(6)
    ]
    (found,) = Evidence(as_columns(results), STANDING).creeps

    # 0.2 mm in 73 days, a fifth of a year: 1 mm a year, whatever the cone
    assert found.found.value == pytest.approx(1.0, abs=0.01)
    assert found.is_clear


def test_lots_are_left_aside_where_time_is_asked_for():
    def lot(number):
        return replace(ALONE, layers=(replace(HARBOUR, batch_id=number, lot=f"25-00{number}"),))

    results = [
        result(key, lot(key), firing=key, day=DAY + timedelta(days=73 * key), run_mm=0.2 * key)
        for key in range(1, 7)
    ]

    columns = as_columns(results)

    assert Evidence(columns, STANDING).creeps[0].found.n == 6
    assert len(repeated(columns, but_lots(columns))[0]) == 6
    assert not len(repeated(columns)[0])


def test_the_creep_of_very_many_repeats_is_that_of_as_many_spread_over_time():
    times = list(range(4_000))
    found = creep(times, [0.01 * time for time in times])

    assert found.value == pytest.approx(0.01)
    assert found.n == 1_500


def test_nothing_says_nothing():
    found = Evidence(as_columns([]), STANDING)

    assert (found.results, found.effects, found.risks.page(0, 9)) == (0, [], [])
    assert (found.risks.ran_off, found.alike, found.spreads, found.creeps) == (None, None, [], [])
