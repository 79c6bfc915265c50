"""Results matched to differ in one thing, and what their pairs say."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.factories import CONE_5, CONE_6, CONE_10
from tests.tiles.conditions.test_words import CONDITIONS, FLUX, HARBOUR
from tiles.conditions.apart import Condition, difference
from tiles.evidence.gathered import gathered
from tiles.evidence.lines import MEASURED, ORDERED, effects, lines_of, mean_words, signs_words
from tiles.evidence.matching import LOOKED_AT, Match, Result, matched, repeated
from tiles.evidence.paired import Signs, Verdict, mean_change

ALONE = replace(CONDITIONS, layers=(HARBOUR,), reached_order=CONE_6)
DAY = date(2026, 10, 14)


def result(key, conditions=ALONE, *, tile=None, firing=1, day=DAY, **judged):
    return Result(key, tile or key, firing, conditions, day, **judged)


def at_cone(order):
    return replace(ALONE, reached_order=order)


def test_repeats_of_one_level_make_one_pair():
    found = matched([result(1, at_cone(CONE_5)), result(2, at_cone(CONE_5)), result(3, at_cone(CONE_6))])
    (change,) = [one for one in found if one.condition is Condition.CONE]

    assert change.words == "cone 5 → 6"
    assert found[change] == [Match((result(1, at_cone(CONE_5)), result(2, at_cone(CONE_5))), (result(3),))]


def test_cones_go_step_by_step_and_bodies_each_against_each():
    cones = matched(result(order, at_cone(order)) for order in (CONE_5, CONE_6, CONE_10))
    bodies = matched(result(key, replace(ALONE, body_id=key, body=f"Body {key}")) for key in (1, 2, 3))

    assert sorted(change.words for change in cones) == ["cone 5 → 6", "cone 6 → 10"]
    assert len([change for change in bodies if change.condition is Condition.BODY]) == 3


def test_a_layer_over_and_under_is_asked_from_nothing():
    flux_under = replace(ALONE, layers=(FLUX, HARBOUR))
    flux_over = replace(ALONE, layers=(HARBOUR, FLUX))
    words = {change.words for change in matched([result(1), result(2, flux_under), result(3, flux_over)])}

    assert words == {"Flux L ×1 over it", "Flux L ×1 under it"}


def test_lots_that_were_not_noted_tell_nothing_of_lots():
    noted = replace(ALONE, layers=(replace(HARBOUR, batch_id=9, lot="25-001"),))
    unknown = replace(ALONE, layers=(replace(HARBOUR, batch_id=None, lot=""),))
    words = {change.words for change in matched([result(1), result(2, noted), result(3, unknown)])}

    assert words == {"lot Harbour 24-118 → Harbour 25-001"}


conditions = st.builds(
    lambda order, body, hold, coats, flux: replace(
        CONDITIONS,
        reached_order=order,
        body_id=body,
        body=f"Body {body}",
        hold_min=hold,
        layers=(*((FLUX,) if flux else ()), replace(HARBOUR, coats=coats)),
    ),
    st.sampled_from([CONE_5, CONE_6, CONE_10]),
    st.integers(1, 2),
    st.sampled_from([0, 10]),
    st.integers(1, 3),
    st.booleans(),
)


@given(st.lists(conditions, max_size=12))
def test_every_match_is_one_change_apart_and_every_neighbour_is_matched(facts):
    results = [result(key, one) for key, one in enumerate(facts)]
    seen = set()
    for change, matches in matched(results).items():
        for match in matches:
            for before in match.before:
                for after in match.after:
                    found = difference(before.conditions, after.conditions)
                    assert found.condition is change.condition
                    seen |= {(before.key, after.key), (after.key, before.key)}
    for one in results:
        for other in results:
            change = difference(one.conditions, other.conditions)
            if change and change.condition not in (Condition.CONE, Condition.COATS):
                assert change.condition in LOOKED_AT
                assert (one.key, other.key) in seen


def test_gloss_falls_as_the_surface_goes_from_glossy_to_dry():
    matches = [
        Match((result(key, surface=0),), (result(key + 50, surface=2 if key < 9 else 0),))
        for key in range(10)
    ]
    gloss = lines_of([*matches, Match((result(70, surface=3),), (result(71, surface=1),))])[0]

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
    match = Match((result(1, flaws=frozenset({"crazing"})),), (result(2),))
    names = {line.name: line for line in lines_of([match] * 6)}

    assert set(names) == {"crazing"}
    assert names["crazing"].sentence == "crazing in 0 of 6 after, 6 of 6 before"
    assert names["crazing"].is_clear


def test_five_pairs_are_not_enough_to_say():
    (effect,) = effects(
        matched(result(key, at_cone(order), surface=order) for key, order in ((1, 28), (2, 30)))
    )

    assert not effect.is_enough
    assert effect.lines[0].verdict is Verdict.NOT_ENOUGH


def test_a_single_firing_on_one_side_is_said():
    one_each = effects(matched([result(1, at_cone(CONE_5), firing=1), result(2, at_cone(CONE_6), firing=2)]))[
        0
    ]
    coats = effects(matched([result(1), result(2, replace(ALONE, layers=(replace(HARBOUR, coats=2),)))]))[0]

    assert one_each.is_of_one_firing
    assert not coats.is_of_one_firing


def test_zones_alike_on_one_tile_are_one_try():
    band, back = result(1, tile=1, ran_off=True), result(2, tile=1)
    others = [result(key) for key in range(3, 14)]
    (risk,) = gathered([band, back, *others]).risks

    assert (risk.ran_off, risk.n) == (1, 12)
    assert risk.chance.low < 1 / 12 < risk.chance.high


def test_repeats_are_of_other_tiles_or_firings():
    groups = repeated([result(1, tile=1), result(2, tile=1), result(3, tile=2), result(4, tile=1, firing=2)])

    assert [[one.key for one in group] for group in groups] == [[1, 3, 4]]


def test_a_creep_over_time_is_told_against_its_own_conditions():
    results = [
        result(key, at_cone(order), firing=key, day=DAY + timedelta(days=73 * key), run_mm=start + 0.2 * key)
        for order, start in ((CONE_5, 1.0), (CONE_6, 8.0))
        for key in range(6)
    ]
    (creep,) = gathered(results).creeps

    # 0.2 mm in 73 days, a fifth of a year: 1 mm a year, whatever the cone
    assert creep.found.value == pytest.approx(1.0, abs=0.01)
    assert creep.is_clear


def test_nothing_says_nothing():
    found = gathered([])

    assert (found.results, found.effects, found.risks, found.ran_off, found.alike) == (0, [], [], None, None)
