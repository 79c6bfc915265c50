"""Which tile a rule hangs where: complete, without repeats, the best of its kind, and always the same."""

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiles.boards.layout import MOST_LEVELS, Axis, Candidate, Level, in_a_row, laid_out, planned


def level(value: int) -> Level:
    return Level(str(value), f"level {value}", (value, ""))


@st.composite
def studios(draw: st.DrawFn) -> list[Candidate]:
    """Tiles of few cones and bodies, some without a known cone."""
    cones = st.one_of(st.none(), st.integers(1, 30))
    found = []
    for key in range(draw(st.integers(0, 40))):
        cone = draw(cones)
        levels = {Axis.BODY: level(draw(st.integers(1, 4)))}
        if cone is not None:
            levels[Axis.CONE] = level(cone)
        found.append(Candidate(key, 1000 + key, levels, (draw(st.integers(0, 1)),)))
    return found


@given(studios(), st.randoms())
def test_the_same_tiles_hang_the_same_in_whatever_order_they_come(tiles, chance: random.Random):
    shuffled = tiles[:]
    chance.shuffle(shuffled)

    assert laid_out(shuffled, Axis.CONE, Axis.BODY) == laid_out(tiles, Axis.CONE, Axis.BODY)


@given(studios())
def test_every_tile_is_accounted_for_once(tiles):
    laid = laid_out(tiles, Axis.CONE, Axis.BODY)
    left_out = {one.value for one in laid.left_out}
    no_room = [
        one.key for one in tiles if Axis.CONE in one.levels and one.levels[Axis.CONE].value in left_out
    ]

    told = [*laid.hung.values(), *laid.spare, *laid.unknown, *no_room]
    assert sorted(told) == [one.key for one in tiles]


@given(studios())
def test_a_tile_hangs_under_its_cone_and_beside_its_body(tiles):
    laid = laid_out(tiles, Axis.CONE, Axis.BODY)
    by_key = {one.key: one for one in tiles}

    for (row, column), key in laid.hung.items():
        assert laid.columns[column - 1] == by_key[key].levels[Axis.CONE]
        assert laid.rows[row - 1] == by_key[key].levels[Axis.BODY]


@given(studios())
def test_no_slot_is_both_hung_and_wanted_and_none_is_forgotten(tiles):
    laid = laid_out(tiles, Axis.CONE, Axis.BODY)

    assert not set(laid.hung) & set(laid.wanted)
    assert len(laid.hung) + len(laid.wanted) == len(laid.rows) * len(laid.columns)
    assert len(laid.columns) <= MOST_LEVELS


def test_columns_stand_in_the_order_of_the_cones():
    tiles = [
        Candidate(n, n, {Axis.CONE: level(cone), Axis.BODY: level(1)}) for n, cone in enumerate([9, 2, 11])
    ]

    assert [one.value for one in laid_out(tiles, Axis.CONE, Axis.BODY).columns] == ["2", "9", "11"]


def test_of_two_tiles_of_the_same_conditions_the_better_hangs_and_the_newer_of_equals():
    same = {Axis.CONE: level(6), Axis.BODY: level(1)}
    kept, newer, old = (
        Candidate(1, 10, same, (1,)),
        Candidate(2, 12, same, (0,)),
        Candidate(3, 11, same, (0,)),
    )

    assert laid_out([newer, kept, old], Axis.CONE, Axis.BODY).hung == {(1, 1): kept.key}
    assert laid_out([old, newer], Axis.CONE, Axis.BODY).hung == {(1, 1): newer.key}


def test_what_is_missing_is_said_by_row_and_column():
    tiles = [
        Candidate(1, 1, {Axis.CONE: level(5), Axis.BODY: level(1)}),
        Candidate(2, 2, {Axis.CONE: level(6), Axis.BODY: level(2)}),
    ]

    assert laid_out(tiles, Axis.CONE, Axis.BODY).wanted == {
        (1, 2): "level 1, level 6",
        (2, 1): "level 2, level 5",
    }


def test_one_condition_does_not_stand_across_and_down():
    with pytest.raises(ValueError, match="across and down"):
        laid_out([], Axis.CONE, Axis.CONE)


def test_one_after_another_fills_row_by_row_by_cone_and_then_number():
    tiles = [Candidate(n, 20 - n, {Axis.CONE: level(cone)}) for n, cone in enumerate([6, 5, 6])]

    assert in_a_row(tiles, Axis.CONE, 2).hung == {(1, 1): 1, (1, 2): 2, (2, 1): 0}


def test_a_glaze_over_another_is_planned_as_such_and_three_are_left_to_the_hand():
    assert planned(Axis.GLAZE, "7+12") == [("glaze", "12"), ("under", "7")]
    assert planned(Axis.GLAZE, "7+12+3") == []
    assert planned(Axis.GLAZE, "7/12") == []
