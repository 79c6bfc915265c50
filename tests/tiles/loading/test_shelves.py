"""Shelves from above, to scale."""

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tiles.loading.packing import Piece
from tiles.loading.shelves import Seen, lay_out, room_of, stands_on

PLACES = ["", "back", "Front left", "back right", "middle", "under the peep"]
sizes = st.lists(
    st.tuples(st.integers(10, 120), st.integers(5, 120), st.sampled_from(PLACES), st.booleans()), max_size=30
)


def seen(key, width, depth, place="", runs=False, **known):
    return Seen(f"t{key}", f"{key}-0", Piece(key, width, depth, 90, runs, 1), place, **known)


@given(st.integers(150, 900), st.integers(100, 900), st.booleans(), sizes)
@settings(max_examples=60, deadline=None)
def test_no_two_tiles_are_drawn_over_each_other_and_each_is_drawn_or_named(width, depth, is_round, standing):
    room = room_of(1, width, depth, None, is_round=is_round)
    plan = lay_out(room, [seen(key, *size) for key, size in enumerate(standing)])
    boxes = [spot.standing.box for spot in plan.spots]

    assert len(boxes) + len(plan.undrawn) == len(standing)
    assert not any(one.meets(other) for one, other in combinations(boxes, 2))
    assert all(room.takes(box) for box in boxes)


def test_tiles_are_drawn_where_their_place_says():
    named = ["back left", "back right", "front left", "front right", ""]
    plan = lay_out(
        room_of(1, 400, 400, None, is_round=False), [seen(n, 60, 30, p) for n, p in enumerate(named)]
    )
    spots = {spot.seen.place: spot.middle for spot in plan.spots}

    assert spots["back left"][0] < spots[""][0] < spots["back right"][0]
    assert spots["back left"][1] == spots["back right"][1] < spots[""][1] < spots["front left"][1]


def test_a_tile_placed_to_the_millimetre_stands_there_and_the_others_around_it():
    exact = seen(1, 60, 30, "middle", x_mm=170, y_mm=185)
    plan = lay_out(room_of(1, 400, 400, None, is_round=False), [seen(2, 60, 30, "middle"), exact])

    assert [(spot.seen.label, spot.is_exact) for spot in plan.spots] == [("1-0", True), ("2-0", False)]
    assert (plan.spots[0].standing.x_mm, plan.spots[0].standing.y_mm) == (170, 185)


def test_tiles_over_each_other_or_over_the_edge_are_said():
    room = room_of(1, 400, 400, None, is_round=False)
    put = [
        seen(1, 60, 30, x_mm=0, y_mm=0),
        seen(2, 60, 30, x_mm=30, y_mm=10),
        seen(3, 60, 30, x_mm=390, y_mm=200),
    ]
    plan = lay_out(room, put)

    assert set(plan.amiss) == {
        "1-0 and 2-0 lie over each other. Move one of them.",
        "3-0 reaches over the edge of the shelf.",
    }


def test_more_than_the_shelf_holds_is_said():
    few, many = (
        lay_out(room_of(1, 200, 200, None, is_round=False), [seen(n, 60, 40) for n in range(count)])
        for count in (4, 40)
    )

    assert not few.undrawn
    assert many.undrawn


def test_an_unmeasured_shelf_is_taken_as_usually_large():
    room = room_of(1, None, None, None, is_round=False)

    assert (room.width_mm, room.depth_mm) == (400, 400)


def test_a_number_is_written_smaller_on_a_narrow_tile():
    plan = lay_out(room_of(1, 400, 400, None, is_round=False), [seen(1042, 20, 20), seen(1043, 90, 20)])
    narrow, wide = plan.spots

    assert narrow.number_size < wide.number_size


@pytest.mark.parametrize(("upright", "takes"), [(False, (70, 110, 7)), (True, (70, 37, 110))])
def test_an_upright_tile_takes_the_depth_of_its_foot(upright, takes):
    assert stands_on(70, 110, 7, upright=upright) == takes
