"""How near a result comes to a question, how sure an answer is, and what to mind."""

from dataclasses import replace
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from firings.cones import series
from firings.heatwork.counted import counted_as
from tests.tiles.ranges.test_matrix import CONE_6, CONE_7, CONE_10, FLUX, GLAZE, RESULTS, a_result, numbered
from tiles.answers.cautions import Known, KnownGlaze, cautions
from tiles.answers.nearest import ASKED, HOLD, MOST_CHANGES, nearest
from tiles.answers.sureness import Grade, how_sure
from tiles.ranges.axes import Axis, levels_on

ALONE = {"over": "none", "under": "none"}


def asked(**said):
    return {**ALONE, "cone": str(CONE_6), "coats": "3", "body": "1", **said}


def surfaced(surface, key, **how):
    one = a_result(key, **how)
    return replace(one, seen=one.seen._replace(surface=surface))


def fired_at(name, one):
    return str(one.heat.hold_min) if name == HOLD else levels_on(Axis(name), [one], GLAZE)[0]


def unlooked(key, **how):
    return surfaced("", key, **how)


def test_what_was_fired_just_so_is_exact():
    found = nearest([a_result(1), a_result(2, body=2)], GLAZE, asked())

    assert found.exact_keys == (1,)
    assert [one.keys for one in found.near] == [(2,)]


def test_fewer_changes_come_first_and_of_these_the_smaller_step():
    results = [
        a_result(1, cone=CONE_10),
        a_result(2, cone=CONE_7),
        a_result(3, cone=CONE_7, body=2),
        a_result(4, cone=CONE_10, body=2, stack=f"{GLAZE}:brush:1"),
    ]
    near = nearest(results, GLAZE, asked()).near

    assert [one.keys for one in near] == [(2,), (1,), (3,)]


def test_of_as_few_changes_what_was_judged_comes_first_and_what_was_not_makes_nothing_superfluous():
    unseen = [a_result(1, cone=CONE_7, judged=False), a_result(5, body=3, judged=False)]
    seen = [a_result(2, cone=CONE_10), a_result(3, body=2), a_result(4, cone=CONE_7, body=2)]

    near = nearest([*unseen, *seen], GLAZE, asked()).near

    assert [one.keys for one in near] == [(3,), (2,), (1,), (5,), (4,)]


def test_what_is_not_asked_may_be_anything():
    results = [a_result(1, atmosphere="reduction"), a_result(2, atmosphere="oxidation")]

    assert len(nearest(results, GLAZE, asked()).exact) == 2
    assert nearest(results, GLAZE, asked(atmosphere="reduction")).exact_keys == (1,)


def test_a_glaze_over_a_flux_does_not_answer_for_the_glaze_alone():
    (near,) = nearest([a_result(stack=f"{FLUX}:brush:1|{GLAZE}:brush:3")], GLAZE, asked()).near
    (change,) = near.changes

    assert (change.name, change.asked, change.found) == ("over", "none", str(FLUX))


@given(
    RESULTS,
    st.fixed_dictionaries(
        {},
        optional={
            "cone": st.sampled_from([str(CONE_6), str(CONE_7)]),
            "coats": st.sampled_from(["1", "2", "3"]),
            "body": st.sampled_from(["1", "2"]),
            "over": st.sampled_from(["none", str(FLUX)]),
            "atmosphere": st.sampled_from(["oxidation", "reduction"]),
        },
    ),
)
def test_no_result_that_fits_is_lost_and_none_is_called_nearer_than_it_is(results, said):
    results = numbered(results)
    found = nearest(results, GLAZE, said)
    off = {
        one.key: sum(fired_at(name, one) != said[name] for name in ASKED if name in said) for one in results
    }

    assert set(found.exact_keys) == {key for key, number in off.items() if number == 0}
    for one in found.near:
        assert all(off[key] == len(one.changes) <= MOST_CHANGES for key in one.keys)
    counts = [len(one.changes) for one in found.near]
    assert counts == sorted(counts)


def test_three_alike_of_two_firings_are_known():
    results = [a_result(key, firing=key % 2) for key in (1, 2, 3)]

    assert how_sure(results, 0).grade is Grade.KNOWN
    assert "3 tiles of 2 firings" in how_sure(results, 0).words


def test_bands_of_one_tile_are_one_try():
    results = [a_result(key, number=1042) for key in (1, 2, 3)]

    assert how_sure(results, 0).grade is Grade.ONCE


def test_many_tiles_of_one_firing_are_not_known():
    found = how_sure([a_result(key) for key in range(1, 9)], 0)

    assert found.grade is Grade.REPEATED
    assert "all of one firing" in found.words


def test_what_was_not_judged_says_so_and_what_was_never_fired_too():
    assert "not judged yet" in how_sure([a_result(judged=False)], 3).words
    assert how_sure([], 3).grade is Grade.NEAR
    assert how_sure([], 0).grade is Grade.UNKNOWN


def test_what_was_meant_for_the_cone_asked_for_and_overshot_is_told():
    over = a_result(1, cone=CONE_7)
    overshot = replace(over, heat=over.heat._replace(target=CONE_6))
    as_meant = replace(over, key=2, heat=over.heat._replace(target=CONE_7))
    on_another_clay = replace(overshot, key=3, ware=overshot.ware._replace(body=2))

    assert nearest([overshot, as_meant, on_another_clay], GLAZE, asked()).meant == 1
    assert nearest([overshot, as_meant], GLAZE, {"body": "2"}).meant == 0
    assert "2 results come near it, 1 of them meant for this cone: read" in how_sure([], 2, 1).words
    assert "1 result comes near it, meant for this cone: read" in how_sure([], 1, 1).words


def reaching(number, key=1, *, meant, firing=1):
    """A result that reached a cone by its number, meant for another one perhaps."""
    one, target = a_result(key, firing=firing), series.of_order(series.order_of(meant))
    reached = counted_as(Decimal(str(number)), target.number).order
    heat = one.heat._replace(target=target.order, reached=reached, hundredths=round(100 * number))
    return replace(one, heat=heat)


def test_half_a_cone_over_answers_for_the_cone_it_was_meant_for_and_close_to_a_cone_for_that_one():
    half_over = reaching(5.6, 1, meant="5")
    half_short = reaching(5.4, 2, meant="6")
    on_the_next = reaching(5.8, 3, meant="5")
    far_over = reaching(6.6, 4, meant="5")
    results = [half_over, half_short, on_the_next, far_over]

    assert nearest(results, GLAZE, asked()).exact_keys == (3, 2)
    assert nearest(results, GLAZE, asked(cone=str(series.order_of("5")))).exact_keys == (1,)
    assert nearest(results, GLAZE, asked(cone=str(CONE_7))).exact_keys == (4,)


def test_a_half_cone_is_answered_by_what_was_meant_for_it_and_lies_there():
    results = [reaching(5.6, 1, meant="5½"), reaching(5.6, 2, meant="6"), reaching(6, 3, meant="5½")]

    assert nearest(results, GLAZE, asked(cone=str(series.order_of("5½")))).exact_keys == (1,)


def test_how_sure_says_which_cones_stand_behind_the_one_asked_for():
    own = [reaching(6, 1, meant="6"), reaching(6, 2, meant="6", firing=2)]
    mixed = [reaching(5.6, 1, meant="6"), reaching(5.84, 2, meant="5", firing=2), reaching(6, 3, meant="6")]
    stray = [reaching(5.84, 1, meant="5")]

    assert "2 tiles of 2 firings;" in how_sure(own, 0, cone=CONE_6).words
    assert "3 tiles of 2 firings, at cone 5.6 to 6, 1 of them meant for cone 5;" in (
        how_sure(mixed, 0, cone=CONE_6).words
    )
    assert "1 tile of 1 firing, at cone 5.8, meant for cone 5." in how_sure(stray, 0, cone=CONE_6).words
    assert "at cone" not in how_sure(mixed, 0).words


def test_three_tries_are_known_only_where_three_surfaces_were_judged():
    blank = [unlooked(key, firing=key % 2) for key in (1, 2, 3)]
    partly = [a_result(1), *blank[1:]]

    assert how_sure(blank, 0).grade is Grade.REPEATED
    assert "the surface was not judged" in how_sure(blank, 0).words
    assert how_sure(partly, 0).grade is Grade.REPEATED
    assert "few tries" in how_sure(partly, 0).words


def test_a_tile_with_many_bands_does_not_outvote_the_others():
    bands = [a_result(key, number=1042) for key in range(1, 10)]
    others = [surfaced("dry", key, firing=key % 2) for key in (20, 21)]

    assert "they do not agree" in how_sure([*bands, *others], 0).words


def test_cautions_stand_only_where_there_is_something_to_mind():
    runner = KnownGlaze("Harbour", True, CONE_6, CONE_7, "Wear a respirator.")
    known = Known((runner,), "Dune", CONE_6, CONE_7, 10)

    assert cautions(Known((KnownGlaze("Harbour"),)), CONE_6, 0) == []
    assert len(cautions(known, CONE_10, 0)) == 5
    assert cautions(known, CONE_10, None)[0] == "Wear a respirator."


def test_every_glaze_of_a_stack_is_minded_and_a_flux_only_beneath_another():
    flux = KnownGlaze("Flux L", low=CONE_6, high=CONE_6, label="Wear gloves.", is_flux=True)
    plain = KnownGlaze("Harbour")

    assert cautions(Known((flux, plain)), CONE_10, None) == [
        "Flux L: Wear gloves.",
        "The label of Flux L goes up to cone 6: hotter it may run, craze or change.",
        "A flux under a glaze may run: put the piece on a cookie and keep the foot bare.",
    ]
    assert cautions(Known((plain, KnownGlaze("Flux L", is_flux=True))), CONE_10, None) == []
