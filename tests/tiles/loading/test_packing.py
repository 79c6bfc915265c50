"""Tiles onto shelves: what always holds, and how much of a shelf is used."""

from itertools import combinations
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tiles.loading.packing import (
    COOKIE_MM,
    GAP_MM,
    Piece,
    Room,
    Standing,
    clashes,
    pack,
    place_word,
    share_taken,
)


@st.composite
def kilns(draw):
    """One to four shelves, some round, some unmeasured in height."""
    rooms = []
    for position in range(1, draw(st.integers(1, 4)) + 1):
        width, depth = draw(st.integers(100, 700)), draw(st.integers(100, 700))
        is_round = draw(st.booleans())
        height = draw(st.none() | st.integers(40, 250))
        rooms.append(Room(position, width, width if is_round else depth, height, is_round))
    return rooms


@st.composite
def loads_of_tiles(draw, rooms):
    shelf = st.none() | st.sampled_from([room.position for room in rooms])
    tiles = []
    for key in range(draw(st.integers(0, 40))):
        asked = draw(shelf)
        tiles.append(
            Piece(
                key,
                draw(st.integers(10, 200)),
                draw(st.integers(5, 200)),
                draw(st.integers(5, 260)),
                draw(st.booleans()),
                asked,
                asked is not None and draw(st.booleans()),
            )
        )
    return tiles


def apart_mm(one, other):
    """How far two boxes stand apart; below nought where they lie over each other."""
    across = max(one.x - other.right, other.x - one.right)
    return max(across, max(one.y - other.front, other.y - one.front))


@given(st.data())
@settings(max_examples=150, deadline=None)
def test_nothing_overlaps_nothing_sticks_out_every_height_fits_and_none_is_lost(data):
    rooms = data.draw(kilns())
    tiles = data.draw(loads_of_tiles(rooms))
    packed = pack(rooms, tiles)
    shelves = {room.position: room for room in rooms}

    standing = [one.piece.key for one in packed.standing]
    assert sorted([*standing, *(one.piece.key for one in packed.left_out)]) == [tile.key for tile in tiles]
    for one in packed.standing:
        room = shelves[one.position]
        assert room.takes(one.box)
        assert room.height_mm is None or one.piece.takes_mm[2] <= room.height_mm
        assert not one.piece.is_bound or one.piece.shelf == one.position
    for one, other in combinations(packed.standing, 2):
        assert one.position != other.position or apart_mm(one.box, other.box) >= GAP_MM
    assert all(one.why.endswith(".") for one in packed.left_out)


@given(st.data())
@settings(max_examples=80, deadline=None)
def test_what_was_put_by_hand_stays_and_nothing_comes_over_it(data):
    rooms = data.draw(kilns())
    fixed = [
        Standing(
            Piece(1000 + n, 60, 40, 30, data.draw(st.booleans())),
            data.draw(st.sampled_from(rooms)).position,
            data.draw(st.integers(-20, 400)),
            data.draw(st.integers(-20, 400)),
        )
        for n in range(data.draw(st.integers(0, 5)))
    ]
    packed = pack(rooms, data.draw(loads_of_tiles(rooms)), fixed)

    assert not {one.piece.key for one in fixed} & {one.piece.key for one in packed.standing}
    for one in packed.standing:
        assert all(
            one.position != other.position or apart_mm(one.box, other.box) >= GAP_MM for other in fixed
        )


def straight_rows(width, depth, across, down):
    return ((width + GAP_MM) // (across + GAP_MM)) * ((depth + GAP_MM) // (down + GAP_MM))


@given(st.integers(100, 600), st.integers(100, 600), st.integers(20, 120), st.integers(10, 120))
@settings(max_examples=60, deadline=None)
def test_tiles_of_one_size_fill_a_shelf_in_straight_rows(width, depth, across, down):
    most = straight_rows(width, depth, across, down)
    packed = pack([Room(1, width, depth)], [Piece(key, across, down, 10) for key in range(most + 3)])

    assert len(packed.standing) == most


def test_runners_stand_on_cookies_on_the_lowest_shelf():
    rooms = [Room(position, 300, 300, 150) for position in (1, 2, 3)]
    tiles = [Piece(key, 70, 40, 110, runs=key % 3 == 0) for key in range(30)]
    packed = pack(rooms, tiles)
    runners = [one for one in packed.standing if one.piece.runs]

    assert len(runners) == 10
    assert {one.position for one in runners} == {1}
    assert all(one.box.width == 70 + 2 * COOKIE_MM for one in runners)
    assert not packed.left_out


def test_a_plan_s_blocks_decide_the_shelf_and_what_finds_no_room_there_is_told():
    rooms = [Room(1, 200, 90, 150), Room(2, 200, 90, 150)]
    asked = [Piece(key, 60, 40, 110, shelf=2) for key in range(7)]
    packed = pack(rooms, asked)

    assert [one.position for one in packed.standing] == [2] * 6 + [1]
    assert [one.piece.key for one in packed.elsewhere] == [6]


@pytest.mark.parametrize(
    ("piece", "why"),
    [
        (Piece(1, 60, 40, 160), "It stands 160 mm high, more than the 150 mm above any shelf"),
        (Piece(1, 60, 40, 145, runs=True), "It stands 155 mm high, more than the 150 mm above any shelf"),
        (Piece(1, 401, 40, 100), "It takes 401 × 40 mm, more than any shelf"),
        (Piece(1, 395, 395, 100, shelf=2, is_bound=True), "No room is left on shelf 2, where it was put"),
        (Piece(1, 60, 40, 160, shelf=1, is_bound=True), "more than the 120 mm above shelf 1"),
    ],
)
def test_what_does_not_fit_says_why(piece, why):
    rooms = [Room(1, 300, 300, 120), Room(2, 400, 400, 150)]
    fixed = [Standing(Piece(9, 300, 300, 10), 2, 50, 50)]

    (left,) = pack(rooms, [piece], fixed).left_out
    assert why in left.why


def test_a_kiln_without_shelves_says_so():
    assert "no shelf entered" in pack([], [Piece(1, 60, 40, 110)]).left_out[0].why


def test_a_corner_over_the_rim_of_a_round_shelf_sticks_out():
    room = Room(1, 400, 400, is_round=True)

    assert not room.takes(Standing(Piece(1, 60, 40, 10), 1, 0, 0).box)
    assert room.takes(Standing(Piece(1, 60, 40, 10), 1, 170, 180).box)


def cut_up(width, depth, pieces, luck):
    """Sizes that fill a shelf exactly: it is cut straight across again and again."""
    sizes = [(width, depth)]
    while len(sizes) < pieces:
        across, down = sizes.pop(max(range(len(sizes)), key=lambda n: sizes[n][0] * sizes[n][1]))
        share = luck.uniform(0.3, 0.7)
        if across >= down:
            cut = round(across * share)
            sizes += [(cut, down), (across - cut, down)]
        else:
            cut = round(down * share)
            sizes += [(across, cut), (across, down - cut)]
    return sizes


def test_how_much_of_a_shelf_is_used_beside_what_could_be():
    """Shelves cut up into 20 sizes, so that all of them is the most there can be: the bound is 100 % of the area."""
    used = []
    for seed in range(40):
        sizes = cut_up(400, 400, 20, Random(seed))
        room = Room(1, 400, 400)
        packed = pack([room], [Piece(key, size[0], size[1], 10) for key, size in enumerate(sizes)], gap_mm=0)
        used.append(share_taken([room], packed.standing))

    assert sum(used) / len(used) > 0.82
    assert min(used) > 0.70


def in_strips(across, width, depth, gap):
    """How many tiles stand on a round shelf in straight strips, each as full as its chord is long: the best shift."""
    radius, best = across / 2, 0
    for shift in range(depth + gap):
        count = 0
        for back in range(shift, across - depth + 1, depth + gap):
            far = max(abs(back - radius), abs(back + depth - radius))
            count += int((2 * (radius**2 - far**2) ** 0.5 + gap) // (width + gap))
        best = max(best, count)
    return best


@pytest.mark.parametrize(
    ("across", "width", "depth"), [(400, 60, 37), (500, 60, 37), (500, 70, 37), (300, 40, 40), (560, 90, 110)]
)
def test_a_round_shelf_holds_nearly_what_the_best_straight_strips_do(across, width, depth):
    room = Room(1, across, across, is_round=True)
    packed = pack([room], [Piece(key, width, depth, 10) for key in range(120)])

    assert len(packed.standing) >= 0.91 * in_strips(across, width, depth, GAP_MM)


def test_pieces_over_each_other_or_over_the_edge_are_found():
    room = Room(1, 400, 300)
    standing = [
        Standing(Piece(1, 60, 40, 10), 1, 0, 0),
        Standing(Piece(2, 60, 40, 10), 1, 50, 30),
        Standing(Piece(3, 60, 40, 10), 1, 60, 100),
        Standing(Piece(4, 60, 40, 10), 1, 350, 100),
    ]

    assert {(clash.one, clash.other) for clash in clashes(room, standing)} == {(1, 2), (4, None)}


@given(st.integers(0, 400), st.integers(0, 300))
def test_every_place_on_a_shelf_has_a_word(x, y):
    words = place_word(x, y, 400, 300)

    assert ("back" in words) == (y < 100)
    assert ("right" in words) == (x >= 400 * 2 / 3)
    assert words
