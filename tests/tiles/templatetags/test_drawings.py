"""Drawings on other pages: a tile's faces, its section, one result's stack."""

import pytest
from django.template import Context, Template

from tests.factories import FiringFactory, GlazeFactory, TileFactory, fired_outcomes, glaze_tile
from tiles.models import Tile
from tiles.recording.queries import for_drawing

pytestmark = pytest.mark.django_db


def drawn(tag, **context):
    return Template("{% load drawings %}{% " + tag + " %}").render(Context(context))


@pytest.fixture
def tile():
    flux, harbour = (
        GlazeFactory(name="Flux L", swatch="#cfc7b4"),
        GlazeFactory(name="Harbour", swatch="#3a6a86"),
    )
    return glaze_tile(TileFactory(), (flux, {"band 3": 1}), (harbour, {"band 1": 1, "band 3": 3, "back": 3}))


def test_the_faces_show_the_number_and_the_coats(tile):
    page = drawn("tile_face tile", tile=for_drawing(Tile.objects.all()).get())

    assert tile.label in page
    assert [page.count(f">×{coats}<") for coats in (1, 3)] == [2, 2]


def test_the_section_names_its_layers_bottom_to_top(tile):
    page = drawn("tile_section tile", tile=for_drawing(Tile.objects.all()).get())

    assert "band 3: Flux L ×1 + Harbour ×3" in page
    assert "band 2: bare clay" in page


def test_a_result_shows_the_stack_it_was_fired_with(tile):
    outcome = next(
        each for each in fired_outcomes(tile, FiringFactory(fired=True)) if each.zone.name == "band 3"
    )
    page = drawn("zone_section outcome", outcome=outcome)

    assert "band 3: Flux L ×1 + Harbour ×3" in page
    assert page.index("Harbour\n") < page.index("Flux L\n")


def test_nothing_in_a_drawing_needs_an_inline_style(tile):
    page = drawn("tile_face tile", tile=for_drawing(Tile.objects.all()).get())

    assert "style=" not in page


def test_ten_more_tiles_ask_no_more_questions(tile, django_assert_num_queries):
    for _ in range(10):
        glaze_tile(TileFactory(), (GlazeFactory(), {"back": 1}))
    # Tiles with form, body and series; zones; their places; layers; glazes; coverages. No batch is named.
    with django_assert_num_queries(6):
        for each in for_drawing(Tile.objects.all()):
            drawn("tile_face tile", tile=each)
            drawn("tile_section tile", tile=each)
