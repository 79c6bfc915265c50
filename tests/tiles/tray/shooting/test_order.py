"""The order of shooting suggests a tile only where the list leaves no other."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiles.tray.shooting.order import Run, Shot, runs

LIST = [1001, 1002, 1003, 1004, 1005, 1006]


def waiting(*photos: int) -> list[Shot]:
    return [Shot(photo) for photo in photos]


def pairs(found: list[Run]) -> dict[int, int]:
    return {photo: tile for run in found for photo, tile in run.pairs}


@st.composite
def walks(draw) -> tuple[list[int], list[int], set[int]]:
    """A firing's list, the tiles photographed in its order (some left out), and which of those have a code."""
    listed = draw(st.permutations(range(1001, 1001 + draw(st.integers(1, 15)))))
    if draw(st.booleans()):
        listed = listed[::-1]
    left_out = draw(st.sets(st.sampled_from(listed)))
    shot = [tile for tile in listed if tile not in left_out]
    return list(listed), shot, draw(st.sets(st.sampled_from(shot))) if shot else set()


def burst(shot: list[int], coded: set[int]) -> list[Shot]:
    """Photos keyed by the tile they truly show, known only where it has a code."""
    return [Shot(tile, (tile,) if tile in coded else ()) for tile in shot]


@given(walks())
def test_when_every_tile_was_photographed_in_order_every_suggestion_is_right(walk):
    listed, _, coded = walk
    found = pairs(runs(burst(listed, coded), listed))

    assert found == {tile: tile for tile in listed if tile not in coded}


@given(walks())
def test_a_list_gone_through_backwards_is_recognised_by_two_known_tiles(walk):
    listed, _, coded = walk
    found = pairs(runs(burst(listed[::-1], coded), listed))

    if len(coded) >= 2:
        assert found == {tile: tile for tile in listed if tile not in coded}


@given(walks())
def test_a_tile_left_out_between_two_known_ones_never_shifts_the_others(walk):
    listed, shot, coded = walk

    for run in runs(burst(shot, coded), listed):
        if run.after is not None and run.before is not None:
            assert all(photo == tile for photo, tile in run.pairs)


@given(walks(), st.sets(st.integers(1001, 1015)))
def test_no_tile_is_suggested_twice_nor_one_that_has_a_photo(walk, pictured):
    listed, shot, coded = walk
    found = runs(burst(shot, coded), listed, pictured)
    suggested = [tile for run in found for tile in run.tiles]

    assert len(set(suggested)) == len(suggested)
    assert {*suggested}.isdisjoint(pictured | coded)
    assert [photo for run in found for photo in run.photos] == [tile for tile in shot if tile not in coded]
    assert all(run.words for run in found)


def test_one_photo_more_than_tiles_between_suggests_nothing_and_says_so():
    (run,) = runs([Shot(1, (1001,)), *waiting(2, 3), Shot(4, (1003,))], LIST)

    assert run.tiles == ()
    assert run.words == "2 photos between 1001-9 and 1003-5, where the list has one tile without a photo"


def test_tiles_that_have_a_photo_are_passed_over():
    (run,) = runs([Shot(1, (1001,)), *waiting(2), Shot(4, (1004,))], LIST, {1003})

    assert run.pairs == [(2, 1002)]


def test_photos_between_two_of_one_tile_may_show_it_too():
    (run,) = runs([Shot(1, (1002,)), *waiting(2, 3), Shot(4, (1002,))], LIST)

    assert run.tiles == (1002, 1002)


def test_after_the_last_known_tile_the_list_goes_on():
    (run,) = runs([Shot(1, (1001,)), Shot(2, (1002,)), *waiting(3, 4)], LIST)

    assert run.pairs == [(3, 1003), (4, 1004)]
    assert run.words == "next on the list after 1002-4"


def test_more_photos_than_the_list_has_left_are_not_guessed_at():
    (run,) = runs([Shot(1, (1005,)), *waiting(2, 3)], LIST)

    assert run.tiles == ()
    assert "only one tile left" in run.words


def test_without_a_known_tile_only_a_full_count_suggests():
    assert runs(waiting(1, 2), LIST)[0].tiles == ()
    assert runs(waiting(1, 2), LIST[:2])[0].tiles == (1001, 1002)


@pytest.mark.parametrize("stranger", [(2000,), (1001, 1002)])
def test_a_tile_of_another_firing_or_several_in_one_photo_is_no_place_to_count_from(stranger):
    (run,) = runs([Shot(1, stranger), *waiting(2)], LIST)

    assert run.tiles == ()


def test_without_a_list_nothing_is_suggested():
    assert runs(waiting(1), [])[0].words == "no firing is known to go by"
