"""Shelves from above, to scale."""

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiles.loading.shelves import Footprint, lay_out, stands_on

tiles = st.lists(
    st.builds(
        Footprint,
        st.just("1042-9"),
        st.integers(10, 120),
        st.integers(5, 120),
        st.sampled_from(["", "back", "Front left", "back right", "middle", "under the peep"]),
    ),
    max_size=40,
)


@given(st.integers(150, 900), st.integers(100, 900), tiles)
def test_no_two_tiles_are_drawn_over_each_other(width, depth, standing):
    plan = lay_out(width, depth, standing)
    boxes = [
        (spot.x, spot.y, spot.x + spot.tile.width_mm, spot.y + spot.tile.depth_mm) for spot in plan.spots
    ]

    assert len(boxes) == len(standing)
    assert all(
        a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1] for a, b in combinations(boxes, 2)
    )
    assert all(box[0] >= 0 and box[2] <= width and box[3] <= plan.drawn_depth_mm for box in boxes)


def test_tiles_are_drawn_where_their_place_says():
    named = [
        Footprint(place, 60, 30, place)
        for place in ("back left", "back right", "front left", "front right", "")
    ]
    spots = {spot.tile.place: (spot.x, spot.y) for spot in lay_out(400, 400, named).spots}

    assert spots["back left"][0] < spots["back right"][0]
    assert spots["back left"][1] == spots["back right"][1] < spots[""][1] < spots["front left"][1]
    assert spots["front right"][0] + 60 == 400 - 12


def test_more_than_the_shelf_holds_is_said():
    few, many = (lay_out(200, 200, [Footprint("1042-9", 60, 40)] * n) for n in (4, 40))

    assert not few.is_full
    assert many.is_full


def test_an_unmeasured_shelf_is_drawn_and_said_to_be_unmeasured():
    assert not lay_out(None, None, []).is_measured
    assert lay_out(400, 300, []).is_measured


@pytest.mark.parametrize(("upright", "takes"), [(False, (70, 110)), (True, (70, 110 / 3))])
def test_an_upright_tile_takes_the_depth_of_its_foot(upright, takes):
    assert stands_on(70, 110, 7, upright=upright) == takes
