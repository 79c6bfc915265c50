"""Zones of one tile that answer the same question, as one card: what they share once, then zone by zone."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from tiles.conditions.line import conditions_line, heat_line, layers_words
from tiles.search.cards.words import Card, Picture


@dataclass(frozen=True, slots=True)
class ZoneOf:
    """A zone of a tile: its card, and what of its conditions is its own; empty where all zones are alike in that."""

    card: Card
    stack: str
    own: str


@dataclass(frozen=True, slots=True)
class TileCard:
    """A tile after one firing, with the zones that answer."""

    label: str
    picture: Picture | None
    stack: str
    conditions: str
    where: str
    zones: tuple[ZoneOf, ...]

    @property
    def alone(self) -> Card | None:
        """The card of a tile of which one zone answers."""
        return self.zones[0].card if len(self.zones) == 1 else None

    @property
    def said(self) -> str:
        """The conditions and what was seen, zone by zone, in a paragraph for paper."""
        if self.alone:
            return f"{self.label}, {self.alone.zone}: {self.alone.seen}. {self.alone.conditions}"
        zones = (
            ", ".join(filter(None, (one.card.zone, one.own))) + f": {one.card.seen}" for one in self.zones
        )
        return f"{self.label}, {self.conditions}. {'; '.join(zones)}"


def by_tile(cards: Iterable[Card]) -> list[TileCard]:
    """The cards of results, those of one tile, firing and photo together, in the order of the first of each."""
    cards = list(cards)
    first = {_what_is_shared(card): place for place, card in reversed([*enumerate(cards)])}
    ordered = sorted(cards, key=lambda card: (first[_what_is_shared(card)], card.pk))
    return [_of_one(list(group)) for _, group in groupby(ordered, key=_what_is_shared)]


def _what_is_shared(card: Card) -> tuple[str, str, Picture | None]:
    return card.label, heat_line(replace(card.facts, textured=False)), card.picture


def _of_one(cards: Sequence[Card]) -> TileCard:
    first = cards[0]
    plain = replace(first.facts, textured=False)
    is_one_stack = len({layers_words(card.facts.layers) for card in cards}) == 1
    return TileCard(
        label=first.label,
        picture=first.picture,
        stack=first.stack if is_one_stack else "",
        conditions=conditions_line(plain) if is_one_stack else heat_line(plain),
        where=first.where,
        zones=tuple(_zone(card, is_one_stack=is_one_stack) for card in cards),
    )


def _zone(card: Card, *, is_one_stack: bool) -> ZoneOf:
    own = ["" if is_one_stack else layers_words(card.facts.layers), "textured" if card.facts.textured else ""]
    return ZoneOf(card, "" if is_one_stack else card.stack, ", ".join(filter(None, own)))
