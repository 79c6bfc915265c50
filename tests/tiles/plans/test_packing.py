"""What fits on one tile goes on one tile: nothing lost, nothing doubled."""

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiles.plans.packing import packed

COMBINATIONS = st.lists(st.tuples(st.integers(0, 4), st.integers(0, 20)), max_size=60)


@given(COMBINATIONS, st.integers(1, 6))
def test_no_combination_is_lost_and_none_doubled(combinations, room):
    tiles = packed(combinations, lambda one: one[0], lambda _: room)

    assert Counter(one for tile in tiles for one in tile) == Counter(combinations)


@given(COMBINATIONS, st.lists(st.integers(1, 6), min_size=5, max_size=5))
def test_a_tile_agrees_in_what_belongs_to_it_and_has_room(combinations, rooms):
    for tile in packed(combinations, lambda one: one[0], lambda one: rooms[one[0]]):
        assert len({body for body, _ in tile}) == 1
        assert 1 <= len(tile) <= rooms[tile[0][0]]


@given(COMBINATIONS, st.integers(1, 6))
def test_no_fewer_tiles_would_hold_them(combinations, room):
    tiles = packed(combinations, lambda one: one[0], lambda _: room)

    counts = Counter(body for body, _ in combinations)
    assert len(tiles) == sum(-(-count // room) for count in counts.values())


def test_one_to_three_coats_lie_as_bands_on_one_tile():
    combinations = [(body, coats) for body in ("Quay", "Dune") for coats in (1, 2, 3)]

    assert packed(combinations, lambda one: one[0], lambda _: 3) == [
        (("Quay", 1), ("Quay", 2), ("Quay", 3)),
        (("Dune", 1), ("Dune", 2), ("Dune", 3)),
    ]


def test_four_coats_on_tiles_of_three_bands_lie_two_and_two():
    assert [len(tile) for tile in packed([1, 2, 3, 4], lambda _: 0, lambda _: 3)] == [2, 2]


def test_a_tile_without_zones_is_refused():
    with pytest.raises(ValueError, match="zone"):
        packed([1], lambda _: 0, lambda _: 0)
