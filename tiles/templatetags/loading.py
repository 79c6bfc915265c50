"""`{% load loading %}`: what a firing holds, on pages of the floor below and on any list of firings."""

from collections.abc import Iterable
from typing import Any

from django import template

from firings.models import Firing
from tiles.loading import queries, refiring

register = template.Library()


@register.simple_tag
def tile_counts(firings: Iterable[Firing]) -> dict[int, int]:
    """How many tiles each of these firings holds: `{% tile_counts page as counts %}`."""
    return queries.tile_counts(firings)


@register.simple_tag
def tiles_in(firing: Firing) -> int:
    """How many tiles one firing holds: `{% tiles_in firing as held %}`."""
    return queries.tile_counts([firing]).get(firing.pk, 0)


@register.filter
def count_of(counts: dict[int, int], firing: Firing) -> int:
    """`{{ counts|count_of:firing }}`"""
    return counts.get(firing.pk, 0)


@register.filter
def meant_for(load: queries.Load, label: str) -> str:
    """What a tile in a load was meant for where it may be in the wrong firing, else nothing."""
    return load.meant.get(label, "")


@register.inclusion_tag("tiles/loading/_load.html", takes_context=True)
def firing_load(context: dict[str, Any], firing: Firing) -> dict[str, Any]:
    """A firing's tiles by shelf, with what to mind."""
    return {"firing": firing, "load": queries.load_of(firing), "perms": context.get("perms")}


@register.filter
def ordinal_firing(sequence: int) -> str:
    """Which glaze firing of the tile this is: "second firing", nothing for the first."""
    return refiring.ordinal_words(sequence)
