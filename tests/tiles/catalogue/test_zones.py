"""Zones of a tile form: on the face, apart from one another."""

from hypothesis import given
from hypothesis import strategies as st

from tiles.catalogue.zones import ZoneBox, overlap_mm2, three_bands, troubles

FIGURES = st.floats(0, 200, allow_nan=False).map(lambda figure: round(figure, 1))
SIZES = FIGURES.map(lambda figure: figure + 1)
BOXES = st.builds(
    ZoneBox, st.sampled_from("abc"), st.sampled_from(["front", "back"]), FIGURES, FIGURES, SIZES, SIZES
)


@given(st.integers(30, 300), st.integers(60, 400))
def test_the_first_layout_is_always_right(width, height):
    assert troubles(three_bands(width, height), width, height) == []


def test_the_first_layout_leaves_a_dry_foot():
    lowest = max(box.y_mm + box.height_mm for box in three_bands(70, 110))

    assert lowest <= 110 - 15 + 0.1


@given(BOXES, BOXES)
def test_overlap_is_the_same_both_ways_and_never_more_than_a_zone(one, other):
    shared = overlap_mm2(one, other)

    assert shared == overlap_mm2(other, one)
    assert 0 <= shared <= one.width_mm * one.height_mm + 1e-6


def test_what_is_wrong_is_said_in_words():
    found = troubles(
        [
            ZoneBox("band 1", "front", 5, 5, 40, 60),
            ZoneBox("band 2", "front", 40, 5, 40, 60),
            ZoneBox("Band 2", "back", 5, 5, 10, 10),
        ],
        70,
        110,
    )

    assert [(trouble.place, trouble.field) for trouble in found] == [
        (1, "width_mm"),
        (2, "name"),
        (1, "x_mm"),
    ]
    assert [trouble.words for trouble in found] == [
        "band 2 reaches past the front: it ends at 80 × 65 mm on a face of 70 × 110 mm.",
        "Two zones are called band 2. Give one another name.",
        "band 1 and band 2 overlap on the front. Move one of them.",
    ]


def test_zones_that_touch_do_not_overlap():
    assert (
        troubles([ZoneBox("a", "front", 0, 0, 35, 110), ZoneBox("b", "front", 35, 0, 35, 110)], 70, 110) == []
    )
