"""Shelves from the front, to scale."""

from hypothesis import given
from hypothesis import strategies as st

from firings.kilns.drawing import elevation
from firings.kilns.facts import ShelfFacts

sizes = st.none() | st.integers(50, 5000)
shelves = st.lists(
    st.builds(ShelfFacts, st.integers(1, 60), sizes, sizes, sizes),
    max_size=8,
    unique_by=lambda shelf: shelf.position,
)


@given(shelves)
def test_shelves_stand_over_one_another_and_within_the_kiln(listed):
    drawn = elevation(listed)
    levels = [shelf.position for shelf in drawn.shelves]
    edges = [edge for shelf in drawn.shelves for edge in (shelf.room_top, shelf.y)]

    assert levels == sorted(levels, reverse=True)
    assert edges == sorted(edges)
    assert all(0 <= edge <= drawn.height_mm for edge in edges)
    assert all(shelf.x >= 0 and shelf.x + shelf.width_mm <= drawn.width_mm for shelf in drawn.shelves)


def test_all_is_drawn_to_one_scale():
    [top, low] = elevation([ShelfFacts(1, 400, 400, 100), ShelfFacts(2, 200, 400, 300)]).shelves

    assert (top.width_mm, top.room_mm) == (200, 300)
    assert (low.width_mm, low.room_mm) == (400, 100)


def test_what_nobody_measured_is_said_to_be_unmeasured():
    drawn = elevation([ShelfFacts(1, 400, 400, 100), ShelfFacts(2)])

    assert [shelf.is_measured for shelf in drawn.shelves] == [False, True]
    assert drawn.shelves[0].size_words == "not measured"
    assert not drawn.is_measured
