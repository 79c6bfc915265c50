"""Random order and blocks: a hot shelf must not pose as an effect."""

from collections import Counter
from itertools import product
from statistics import mean

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiles.plans.spread import random_order, shares, spread

BODIES = ("white", "speckled", "dark")


@given(st.lists(st.integers(), unique=True, max_size=80), st.integers(0, 10**6))
def test_the_order_is_chance_and_holds_everything(things, seed):
    ordered = random_order(things, seed)

    assert sorted(ordered) == sorted(things)
    assert random_order(things, seed) == ordered


def test_another_seed_gives_another_order():
    assert len({tuple(random_order(range(12), seed)) for seed in range(50)}) == 50


def test_every_place_comes_to_every_tile():
    # Of 6000 orders of six, each thing should stand first about 1000 times; 4 standard deviations are about 115.
    firsts = Counter(random_order(range(6), seed)[0] for seed in range(6000))

    assert all(abs(count - 1000) < 115 for count in firsts.values())


@given(st.integers(0, 300), st.lists(st.integers(1, 40), min_size=1, max_size=6))
def test_shelves_take_tiles_by_their_room(count, rooms):
    parts = shares(count, rooms)

    assert sum(parts) == count
    for part, room in zip(parts, rooms, strict=True):
        assert abs(part - count * room / sum(rooms)) < 1


@given(st.data())
def test_shelves_are_filled_and_each_tile_has_one(data):
    sizes = data.draw(st.lists(st.integers(0, 12), min_size=1, max_size=4))
    levels = data.draw(
        st.lists(st.tuples(st.integers(0, 2), st.integers(0, 3)), min_size=sum(sizes), max_size=sum(sizes))
    )
    seed = data.draw(st.integers(0, 1000))

    found = spread(levels, sizes, seed)

    assert [found.count(block) for block in range(len(sizes))] == sizes
    assert spread(levels, sizes, seed) == found


@pytest.mark.parametrize("seed", range(20))
def test_each_body_stands_on_each_shelf_alike(seed):
    tiles = [(body, coats) for body, coats in product(BODIES, (1, 2, 3, 4)) for _ in range(2)]

    found = spread(tiles, [8, 8, 8], seed)

    on_shelf = Counter((shelf, body) for shelf, (body, _) in zip(found, tiles, strict=True))
    assert all(count in (2, 3) for count in on_shelf.values())
    coats_on = Counter((shelf, coats) for shelf, (_, coats) in zip(found, tiles, strict=True))
    assert all(count == 2 for count in coats_on.values())


def apparent_effect(tiles, shelves, hot_c):
    """By how much the bodies seem to differ, where nothing differs but a shelf's heat."""
    means = [
        mean(hot_c[shelf] for shelf, (body, _) in zip(shelves, tiles, strict=True) if body == asked)
        for asked in BODIES
    ]
    return max(means) - min(means)


def test_a_hot_shelf_does_not_pose_as_an_effect_of_the_body():
    tiles = [(body, coats) for body, coats in product(BODIES, (1, 2, 3, 4)) for _ in range(2)]
    hot_c = (0.0, 0.0, 12.0)
    as_they_come = [place * 3 // len(tiles) for place in range(len(tiles))]

    assert apparent_effect(tiles, as_they_come, hot_c) == 12
    assert max(apparent_effect(tiles, spread(tiles, [8, 8, 8], seed), hot_c) for seed in range(50)) <= 1.5


def test_which_tile_of_a_kind_stands_hot_is_chance():
    tiles = [("white",)] * 6
    hot = Counter(
        tile for seed in range(600) for tile, shelf in enumerate(spread(tiles, [3, 3], seed)) if shelf
    )

    assert all(abs(count - 300) < 60 for count in hot.values())


def test_blocks_that_do_not_hold_the_tiles_are_refused():
    with pytest.raises(ValueError, match="as many tiles"):
        spread([("white",)], [2], 1)
