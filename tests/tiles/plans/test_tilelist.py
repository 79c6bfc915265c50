"""The tile list: rules kept, everything met, bands used, what exists left out, and what each tile saved costs.

The checker here lists every possible combination by itself and shares nothing with the planner.
"""

from itertools import combinations, product
from math import prod

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tiles.plans.coverage import Coverage
from tiles.plans.covering import ImpossiblePlan
from tiles.plans.sketch import NONE, NeverRule, Sketch
from tiles.plans.tilelist import MOST_TILES, most_telling, tile_list

ROOM = {"f3": 3, "f1": 1}


def sketch(rules=(), **more):
    levels = more.pop("levels", {})
    whole = {"glaze": ("g1",), "coats": ("1", "2", "3"), "body": ("b1", "b2", "b3"), "form": ("f3",)}
    return Sketch(levels={**whole, **levels}, rules=tuple(rules), **more)


def is_allowed(one, rules):
    for rule in rules:
        if one.get(rule.factor) == rule.level and rule.other in one:
            other = one[rule.other]
            if rule.verb == "with" and other == rule.bound:
                return False
            if rule.verb == "above" and float(other) > float(rule.bound):
                return False
            if rule.verb == "below" and float(other) < float(rule.bound):
                return False
    return True


def left_out(made, plan, strength):
    """What no combination made shows, of all that the rules allow."""
    allowed = [
        one
        for levels in product(*plan.levels.values())
        if is_allowed(one := dict(zip(plan.levels, levels, strict=True)), plan.rules)
    ]
    varied = [factor for factor, levels in plan.levels.items() if len(levels) > 1]
    left = []
    for factors in combinations(varied, min(strength, len(varied))):
        possible = {tuple(one[factor] for factor in factors) for one in allowed}
        left += possible - {tuple(one[factor] for factor in factors) for one in made}
    return left


def all_made(found):
    return [one for tile in found.tiles for one in tile.combinations]


def test_a_new_glaze_on_three_bodies_with_one_to_three_coats_at_three_cones():
    plan = sketch(levels={"under": (NONE, "flux"), "over": (NONE, "flux"), "cone": ("29", "30", "34")})

    found = tile_list(plan, room=ROOM)

    # Bodies by cones is 9, and the bands carry the coats: no fewer tiles show every pair.
    assert len(found.tiles) == 9
    assert found.is_smallest
    assert all(len(tile.combinations) == 3 for tile in found.tiles)
    assert left_out(all_made(found), plan, 2) == []
    assert len(tile_list(Sketch(levels=plan.levels, way="all"), room=ROOM).tiles) == 36


def test_a_body_is_never_planned_above_cone_6():
    rule = NeverRule("body", "b2", "above", "cone", "30")
    plan = sketch([rule], levels={"cone": ("29", "30", "34")})

    for way in ("all", "pairs", "threes"):
        made = all_made(tile_list(Sketch(plan.levels, plan.rules, way=way), room=ROOM))
        assert {one["cone"] for one in made if one["body"] == "b2"} == {"29", "30"}
        assert {one["cone"] for one in made if one["body"] == "b1"} == {"29", "30", "34"}


levels_of = st.fixed_dictionaries(
    {
        "glaze": st.lists(st.sampled_from(["g1", "g2", "g3"]), min_size=1, unique=True),
        "under": st.lists(st.sampled_from([NONE, "u1", "u2"]), min_size=1, unique=True),
        "coats": st.lists(st.sampled_from(["1", "2", "3", "4"]), min_size=1, unique=True),
        "body": st.lists(st.sampled_from(["b1", "b2", "b3"]), min_size=1, unique=True),
        "form": st.lists(st.sampled_from(["f1", "f3"]), min_size=1, unique=True),
        "cone": st.lists(st.sampled_from(["29", "30", "34"]), min_size=1, unique=True),
    }
).map(lambda levels: {factor: tuple(names) for factor, names in levels.items()})
# More tiles than these no plan lists.
listed = levels_of.filter(lambda levels: prod(map(len, levels.values())) <= MOST_TILES)
rule = st.one_of(
    st.builds(
        NeverRule,
        st.just("body"),
        st.sampled_from(["b1", "b2"]),
        st.sampled_from(["above", "below", "with"]),
        st.just("cone"),
        st.sampled_from(["29", "30", "34"]),
    ),
    st.builds(
        NeverRule,
        st.just("glaze"),
        st.sampled_from(["g1", "g2"]),
        st.sampled_from(["above", "with"]),
        st.just("coats"),
        st.sampled_from(["1", "2"]),
    ),
)


@settings(max_examples=80)
@given(listed, st.lists(rule, max_size=3), st.sampled_from(["all", "pairs", "threes"]), st.data())
def test_any_plan_shows_all_that_may_be_and_nothing_that_may_not(levels, rules, way, data):
    side = data.draw(st.lists(st.sampled_from(["coats", "glaze", "under"]), unique=True))
    plan = Sketch(levels, tuple(rules), way=way, side_by_side=tuple(side))
    every = [dict(zip(levels, one, strict=True)) for one in product(*levels.values())]
    existing = data.draw(st.lists(st.sampled_from(every), max_size=5))
    try:
        found = tile_list(plan, room=ROOM, existing=existing)
    except ImpossiblePlan:
        assert not any(is_allowed(one, rules) for one in every)
        return
    made = all_made(found)

    assert all(is_allowed(one, rules) for one in made)
    assert left_out([*made, *existing], plan, plan.strength) == []
    assert found.share == pytest.approx(1)
    assert list(found.counted) == list(range(len(existing)))
    for tile in found.tiles:
        assert len(tile.combinations) <= (ROOM[tile.first["form"]] if side else 1)
        assert len({(one["body"], one["form"], one["cone"]) for one in tile.combinations}) == 1
    if way == "all":
        keys = [tuple(one.values()) for one in made]
        allowed = {tuple(one.values()) for one in every if is_allowed(one, rules)}
        assert len(keys) == len(set(keys))
        assert set(keys) == allowed - {tuple(one.values()) for one in existing}


def test_tiles_that_exist_are_not_made_again():
    plan = sketch()
    there = [{"glaze": "g1", "coats": "2", "body": "b1", "form": "f3", "cone": "30"}]

    assert len(all_made(tile_list(Sketch(plan.levels, way="all"), room=ROOM, existing=there))) == 8
    other = [{**there[0], "body": "elsewhere"}]
    assert tile_list(plan, room=ROOM, existing=other).counted == ()


def test_what_exists_on_one_band_saves_tiles_too():
    plan = sketch(levels={"cone": ("29", "30", "34")})
    there = [
        {"glaze": "g1", "coats": "2", "body": body, "form": "f3", "cone": cone}
        for body in ("b1", "b2", "b3")
        for cone in ("29", "30", "34")
    ]

    assert len(tile_list(plan, room=ROOM).tiles) == 9
    assert len(tile_list(plan, room=ROOM, existing=there).tiles) == 3


def test_at_most_so_many_tiles_are_the_most_telling():
    plan = sketch(levels={"cone": ("29", "30", "34"), "under": (NONE, "u1", "u2")})
    whole = tile_list(plan, room=ROOM)
    fewer = tile_list(Sketch(plan.levels, most=4), room=ROOM)

    assert [tile.combinations for tile in fewer.tiles] == [tile.combinations for tile in whole.tiles[:4]]
    assert fewer.cut == len(whole.tiles) - 4
    assert fewer.share == pytest.approx(whole.curve[3])
    assert list(whole.curve) == sorted(whole.curve)


def test_a_glaze_is_never_its_own_flux():
    plan = sketch(levels={"glaze": ("g1", "g2"), "under": (NONE, "g1")})

    made = all_made(tile_list(plan, room=ROOM))

    assert not [one for one in made if one["glaze"] == one["under"] == "g1"]
    assert [one for one in made if one["glaze"] == "g2" and one["under"] == "g1"]


def test_a_lot_belongs_to_its_glaze_alone():
    plan = sketch(levels={"glaze": ("g1", "g2"), "lot": ("7", "8", NONE)})

    made = all_made(tile_list(Sketch(plan.levels, way="all"), room=ROOM, own_lots={"g1": {"7", "8"}}))

    assert {(one["glaze"], one["lot"]) for one in made} == {("g1", "7"), ("g1", "8"), ("g2", NONE)}


def test_a_plan_that_varies_nothing_is_one_tile_or_none():
    plan = sketch(levels={"coats": ("2",), "body": ("b1",)})
    there = [{"glaze": "g1", "coats": "2", "body": "b1", "form": "f3"}]

    assert len(tile_list(plan, room=ROOM).tiles) == 1
    assert tile_list(plan, room=ROOM, existing=there).tiles == ()


def test_rules_that_forbid_everything_are_said():
    plan = sketch([NeverRule("body", "b1", "above", "coats", "0")], levels={"body": ("b1",)})

    with pytest.raises(ImpossiblePlan, match=r"[Rr]ules"):
        tile_list(plan, room=ROOM)


def test_a_plan_of_thousands_of_tiles_is_refused_in_words():
    many = {"glaze": tuple(f"g{n}" for n in range(20)), "body": tuple(f"b{n}" for n in range(20))}

    with pytest.raises(ImpossiblePlan, match="800 tiles"):
        tile_list(Sketch({**sketch().levels, **many, "cone": ("29", "30")}, way="all"), room=ROOM)


def test_the_most_telling_come_first():
    coverage = Coverage((3, 3, 2), 2, ())
    tiles = [[row] for row in product(range(3), range(3), range(2))]

    left = [after for _, after in most_telling(tiles, coverage)]

    # Each tile shows three pairs; a greedy order can't do better than that at first, nor worse later.
    gains = [before - after for before, after in zip([21, *left], left, strict=False)]
    assert gains[0] == 3
    assert gains == sorted(gains, reverse=True)
    assert left[-1] == 0
