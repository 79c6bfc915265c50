"""A tile's zones in few words: neighbours that differ only in how much lies on top are said together."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby

from tiles.conditions.facts import LayerFacts
from tiles.conditions.stack import amount_words, stack_words

ZoneStack = tuple[str, tuple[LayerFacts, ...]]


def zone_lines(zones: Sequence[ZoneStack]) -> list[tuple[str, str]]:
    """Names and stacks: [("band 1 to band 3", "Flux L ×1 + Harbour ×1, ×2, ×3"), ("back", "Harbour ×3")]."""
    groups = (list(group) for _, group in groupby(zones, key=lambda zone: _but_for_the_amount(zone[1])))
    return [_line(group) for group in groups]


def _but_for_the_amount(stack: Sequence[LayerFacts]) -> tuple[LayerFacts, ...]:
    """A stack with its top layer's coats or seconds left out; lots do not count."""
    plain = [replace(layer, batch_id=None, lot="") for layer in stack]
    return (*plain[:-1], *(replace(layer, coats=0, dip_s=None) for layer in plain[-1:]))


def _line(zones: Sequence[ZoneStack]) -> tuple[str, str]:
    (first, stack), (last, _) = zones[0], zones[-1]
    if len(zones) == 1:
        return first, stack_words(stack)
    others = "".join(f", {amount_words(layers[-1])}" for _, layers in zones[1:] if layers)
    return f"{first} to {last}", stack_words(stack) + others
