"""A zone's stack: its layers in order, written bottom to top."""

import re
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from firings.words import counted
from tiles.conditions.facts import LayerFacts
from tiles.vocabulary import Method

BARE = "bare clay"
_AMOUNT = re.compile(r"×\d+|dip [\d.]+ s")


def amount_words(layer: LayerFacts) -> str:
    """How much of a layer lies there: ×3, or dip 2.5 s."""
    return f"×{layer.coats}" if layer.dip_s is None else f"dip {layer.dip_s.normalize():f} s"


def is_layer_of(glaze: str, words: str) -> bool:
    """Whether a layer in words is of that glaze, and not of one whose name only begins alike.

    >>> is_layer_of("Flux", "Flux ×1"), is_layer_of("Flux", "Flux L ×1"), is_layer_of("Flux", "Flux dip 2.5 s")
    (True, False, True)
    """
    amount = words.removeprefix(f"{glaze} ")
    return amount != words and _AMOUNT.fullmatch(amount) is not None


def stack_words(layers: Sequence[LayerFacts]) -> str:
    """The stack as it is written everywhere, bottom to top: ``Flux L ×1 + Harbour ×3``."""
    return " + ".join(f"{layer.glaze} {amount_words(layer)}" for layer in layers) or BARE


def stack_key(layers: Sequence[LayerFacts]) -> str:
    """The stack's signature: equal for equal glazes, amounts and methods in equal order; lots do not count."""
    return "|".join(
        f"{layer.glaze_id}:{layer.method}:{layer.coats if layer.dip_s is None else f'{layer.dip_s.normalize():f}s'}"
        for layer in layers
    )


class KeyLayer(NamedTuple):
    """A layer as a signature has it: its glaze's key, how it went on, its coats or the seconds of its dip."""

    glaze: int
    method: str
    amount: str


def layers_in(key: str) -> list[KeyLayer]:
    """The layers of a signature, bottom to top; none on bare clay.

    >>> layers_in("12:brush:1|7:dip:2.5s")[1]
    KeyLayer(glaze=7, method='dip', amount='2.5s')
    """
    layers = (layer.split(":") for layer in key.split("|") if layer)
    return [KeyLayer(int(glaze), method, amount) for glaze, method, amount in layers]


def is_dip(amount: str) -> bool:
    """Whether a signature's amount is a dip's seconds, such as 2.5s, and not coats."""
    return amount.endswith("s")


def key_words(key: str, names: Mapping[int, str]) -> str:
    """The stack of a signature as it is written everywhere.

    >>> key_words("12:brush:1|7:dip:2.5s", {7: "Harbour", 12: "Flux L"})
    'Flux L ×1 + Harbour dip 2.5 s'
    """
    words = (
        f"{names[glaze]} {f'dip {amount[:-1]} s' if is_dip(amount) else f'×{amount}'}"
        for glaze, _, amount in layers_in(key)
    )
    return " + ".join(words) or BARE


def method_of(layers: Sequence[LayerFacts]) -> str:
    """How the top layer went on; the method people ask for. Nothing on bare clay."""
    return layers[-1].method if layers else ""


def lots_of(layers: Sequence[LayerFacts]) -> str:
    """The lots in the stack, bottom to top, those that are known."""
    return ", ".join(layer.lot for layer in layers if layer.lot)


def coats_words(layer: LayerFacts) -> str:
    """A layer's amount in a sentence: 1 coat, 3 coats, a 2.5 s dip."""
    if layer.dip_s is not None:
        return f"a {layer.dip_s.normalize():f} s dip of"
    return coat_count_words(layer.coats or 0)


def coat_count_words(coats: int) -> str:
    """
    >>> coat_count_words(1), coat_count_words(3)
    ('1 coat', '3 coats')
    """
    return counted(coats, "coat")


def method_words(layer: LayerFacts) -> str:
    """How it went on, in a sentence; a dip says so already."""
    return "" if layer.dip_s is not None else Method.label_of(layer.method)
