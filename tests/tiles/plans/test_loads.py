"""Firings of a plan: one for each fire, more where a load does not fit, shelves filled by their room."""

from collections import Counter
from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from tiles.plans.loads import ShelfRoom, loads

SHELVES = (ShelfRoom(1, 400, 400), ShelfRoom(2, 400, 400))
TILES = [
    {"body": body, "cone": cone, "coats": coats}
    for body, cone, coats in product(("white", "dark"), ("28", "30"), ("1", "2", "3"))
]


def footprints(tiles):
    return [(70.0, 30.0)] * len(tiles)


def test_each_cone_is_a_firing_of_its_own_the_cooler_first():
    found = loads(TILES, footprints(TILES), SHELVES, 1)

    assert [fire["cone"] for fire in found.fires] == ["28", "30"]
    for tile, stand in zip(TILES, found.stands, strict=True):
        assert found.fires[stand.firing - 1]["cone"] == tile["cone"]


def test_bodies_and_coats_are_spread_over_the_shelves():
    found = loads(TILES, footprints(TILES), SHELVES, 1)

    seen = Counter(
        (stand.firing, stand.shelf, tile["body"]) for tile, stand in zip(TILES, found.stands, strict=True)
    )
    assert all(count in (1, 2) for count in seen.values())
    assert len(seen) == 2 * 2 * 2


def test_what_does_not_fit_in_one_firing_takes_two():
    # 70 + 10 across and 30 + 10 down: 5 × 10 on a shelf of 400 × 400, the other way about 10 × 5.
    assert SHELVES[0].holds(70, 30) == 50
    many = [{"body": str(place % 3), "cone": "30"} for place in range(101)]

    found = loads(many, footprints(many), SHELVES, 1)

    assert len(found.fires) == 2
    taken = Counter((stand.firing, stand.shelf) for stand in found.stands)
    assert sorted(taken.values()) == [25, 25, 25, 26]


def test_without_a_kiln_tiles_have_a_firing_and_no_shelf():
    found = loads(TILES, footprints(TILES), (), 1)

    assert {stand.shelf for stand in found.stands} == {None}
    assert len(found.fires) == 2


def test_a_tile_too_large_for_every_shelf_is_left_without_one():
    found = loads(TILES[:1], [(900.0, 900.0)], SHELVES, 1)

    assert found.stands[0].shelf is None


@given(
    st.lists(st.tuples(st.integers(0, 2), st.sampled_from(["28", "30", ""])), max_size=40), st.integers(0, 99)
)
def test_every_tile_stands_somewhere_and_no_shelf_is_overfull(drawn, seed):
    tiles = [{"body": str(body), "cone": cone} for body, cone in drawn]
    small = (ShelfRoom(1, 160, 90), ShelfRoom(2, 160, 120))

    found = loads(tiles, footprints(tiles), small, seed)

    taken = Counter((stand.firing, stand.shelf) for stand in found.stands)
    rooms = {shelf.position: shelf.holds(70, 30) for shelf in small}
    assert all(count <= rooms[shelf] for (_, shelf), count in taken.items())
    assert sorted(found.order) == list(range(len(tiles)))
    assert {stand.firing for stand in found.stands} == set(range(1, len(found.fires) + 1))
