"""`{% load drawings %}`: a tile's faces to scale, and stacks in section."""

from typing import Any

from django import template

from tiles.models import Outcome, Tile
from tiles.recording import queries
from tiles.recording.section import LaidLayer, ZoneShape, draw_faces, draw_section

register = template.Library()


@register.inclusion_tag("tiles/recording/_face.html")
def tile_face(tile: Tile) -> dict[str, Any]:
    """A tile's faces with their coats; `tile` comes from `recording.queries.for_drawing()`."""
    faces = draw_faces(
        queries.outline_of_tile(tile), queries.clay_of(tile.body), queries.stacks_of(tile), tile.label
    )
    return {"faces": faces}


@register.inclusion_tag("tiles/recording/_section.html")
def tile_section(tile: Tile) -> dict[str, Any]:
    """All zones of a tile in section, side by side; `tile` comes from `recording.queries.for_drawing()`."""
    zones = queries.outline_of_tile(tile).zones
    return {"section": draw_section(zones, queries.clay_of(tile.body), queries.stacks_of(tile))}


@register.inclusion_tag("tiles/recording/_zone.html")
def zone_section(outcome: Outcome) -> dict[str, Any]:
    """One outcome's zone in section with its layers in words; `outcome` comes from `for_display()`."""
    layers = queries.stack_of(outcome)
    shape = ZoneShape(outcome.zone.name, outcome.zone.face, outcome.textured, 0, 0, 10, 10)
    section = draw_section([shape], queries.clay_of(outcome.body), {shape.name: layers})
    return {"section": section, "column": section.columns[0], "layers": layers[::-1]}


@register.filter
def amount_words(layer: LaidLayer) -> str:
    """How much of a layer: ×3, or 2.5 s."""
    return layer.amount.words
