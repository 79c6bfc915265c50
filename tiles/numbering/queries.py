"""Tiles by a typed number, and those whose numbers come near it."""

from tiles.models import Tile
from tiles.numbering.near import near_numbers

# More would not help a person choose.
MOST_NEAR = 6


def tiles_near(text: str) -> list[Tile]:
    """Tiles whose numbers a slip of the pen would turn into what was typed, likeliest slip first."""
    asked = near_numbers(text)
    found = {tile.number: tile for tile in Tile.objects.for_lists().filter(number__in=asked)}
    return [found[number] for number in asked if number in found][:MOST_NEAR]
