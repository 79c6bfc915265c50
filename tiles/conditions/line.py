"""The conditions line: one sentence, identical on the tile page, the card, the label and the export."""

from datetime import date

from firings.cones import series
from firings.vocabulary import Atmosphere, ReachedSource
from tiles.conditions.facts import Conditions, LayerFacts
from tiles.conditions.stack import BARE, coats_words, method_words

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def date_words(day: date) -> str:
    """A date no one can misread: 14 Oct 2026.

    >>> date_words(date(2026, 10, 14))
    '14 Oct 2026'
    """
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def _layer_words(layer: LayerFacts, *, method: bool) -> str:
    lot = f" (lot {layer.lot})" if layer.lot else ""
    how = f" {method_words(layer)}" if method and method_words(layer) else ""
    return f"{coats_words(layer)} {layer.glaze}{lot}{how}"


def layers_words(layers: tuple[LayerFacts, ...]) -> str:
    """The stack as a sentence, top first: "3 coats Harbour (lot 24-118) brushed over 1 coat Flux L".

    The method is said of the top layer, and of a lower one only where it differs from the one above it.
    """
    words = []
    above = ""
    for layer in reversed(layers):
        words.append(_layer_words(layer, method=layer.method != above))
        above = layer.method
    return " over ".join(words) or BARE


def cone_words(conditions: Conditions) -> str:
    """Target and reached cone with its source, as far as they are known."""
    target = f"target cone {series.label_of(conditions.target_order)}" if conditions.target_order else ""
    if conditions.reached_number is None or conditions.reached_source == ReachedSource.TARGET.value:
        return target
    reached = (
        f"reached {series.number_words(conditions.reached_number)}"
        f" ({ReachedSource.label_of(conditions.reached_source)})"
    )
    return f"{target}, {reached}" if target else reached


def _kiln_words(conditions: Conditions) -> str:
    shelf = f", shelf {conditions.shelf}" if conditions.shelf else ""
    place = f" {conditions.place}" if conditions.place else ""
    again = f"; firing {conditions.firing_count} of this tile" if conditions.firing_count > 1 else ""
    return f"kiln {conditions.kiln}{shelf}{place}{again}"


def heat_line(conditions: Conditions) -> str:
    """What all zones of a tile share: clay, heat, place and day.

    A cone whose only source is the target is written once, as the target: nothing was read.
    """
    hold = f"{conditions.hold_min} min hold" if conditions.hold_min else "no hold"
    fired = date_words(conditions.fired_on) if conditions.fired_on else "not fired yet"
    heat = ", ".join(filter(None, (cone_words(conditions), Atmosphere.label_of(conditions.atmosphere), hold)))
    texture = ", textured" if conditions.textured else ""
    return f"on {conditions.body}{texture}; {heat}; {_kiln_words(conditions)}; {fired}"


def conditions_line(conditions: Conditions) -> str:
    """All the conditions in one sentence."""
    return f"{layers_words(conditions.layers)}, {heat_line(conditions)}"
