"""The conditions that can stand across or down a range sheet, and where a result stands on each."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from operator import attrgetter
from typing import Any

from firings.cones import series
from firings.vocabulary import Atmosphere, Term
from tiles.columns.values import Heat, Lookups, Run, Seen, Stack, Ware
from tiles.conditions.stack import coat_count_words, layers_in

NOTHING = "none"
TOGETHER = "+"
GONE = "one that is gone"


class Axis(Term):
    """A condition with levels. OVER is what the glaze lies over, UNDER what lies over it."""

    CONE = "cone", "cone"
    BODY = "body", "clay body"
    COATS = "coats", "coats"
    ATMOSPHERE = "atmosphere", "atmosphere"
    OVER = "over", "over another"
    UNDER = "under", "under another"


@dataclass(frozen=True, slots=True)
class Fired:
    """A fired result as far as a range sheet asks: its key, its day and tile, and what is held of it."""

    key: int
    day: int
    number: int
    heat: Heat
    stack: Stack
    seen: Seen
    run: Run
    ware: Ware


@dataclass(frozen=True, slots=True)
class Level:
    """One level of an axis: how it stands in an address, in words, and its place among the others."""

    value: str
    words: str
    rank: tuple[float, str]


@dataclass(frozen=True, slots=True)
class Laid:
    """How a glaze lies in a stack: its own coats, or seconds of a dip, and the glazes below and above it."""

    amount: str
    below: tuple[int, ...]
    above: tuple[int, ...]


@lru_cache(maxsize=16_384)
def laid(stack_key: str, glaze: int) -> Laid | None:
    """How a glaze lies in the stack of that signature; its uppermost layer counts. None where it is not in it.

    >>> laid("7:brush:1|12:brush:3", 12)
    Laid(amount='3', below=(7,), above=())
    """
    layers = layers_in(stack_key)
    glazes = [layer.glaze for layer in layers]
    if glaze not in glazes:
        return None
    place = len(glazes) - 1 - glazes[::-1].index(glaze)
    return Laid(layers[place].amount, tuple(glazes[:place]), tuple(glazes[place + 1 :]))


# Where on a result each axis is read: results of one such part stand at one level, so that many are read once.
PARTS: dict[Axis, Callable[[Fired], Any]] = {
    Axis.CONE: attrgetter("heat.reached"),
    Axis.BODY: attrgetter("ware.body"),
    Axis.COATS: attrgetter("stack.key"),
    Axis.ATMOSPHERE: attrgetter("heat.atmosphere"),
    Axis.OVER: attrgetter("stack.key"),
    Axis.UNDER: attrgetter("stack.key"),
}


def levels_on(axis: Axis, found: Sequence[Fired], glaze: int) -> list[str | None]:
    """Where each result stands on an axis."""
    parts = list(map(PARTS[axis], found))
    levels = {part: level_at(axis, part, glaze) for part in set(parts)}
    return [levels[part] for part in parts]


def level_at(axis: Axis, part: Any, glaze: int) -> str | None:
    """The level that a part of a result, as PARTS reads it, stands at."""
    if axis in (Axis.BODY, Axis.CONE):
        return None if part is None else str(part)
    if axis is Axis.ATMOSPHERE:
        return str(part)
    how = laid(part, glaze)
    if how is None:
        return None
    if axis is Axis.COATS:
        return how.amount
    return TOGETHER.join(map(str, how.below if axis is Axis.OVER else how.above)) or NOTHING


def level_of(axis: Axis, value: str, names: Lookups) -> Level:
    """A level in words, with its place.

    Raises ValueError where a value can be no level of that axis.
    """
    if axis is Axis.CONE:
        return Level(value, f"cone {series.label_of(int(value))}", (int(value), ""))
    if axis is Axis.BODY:
        words = names.bodies.get(int(value), GONE)
        return Level(value, words, (0, words.casefold()))
    if axis is Axis.ATMOSPHERE:
        term = Atmosphere(value)
        return Level(value, term.label, (list(Atmosphere).index(term), ""))
    if axis is Axis.COATS:
        return _coats(value)
    return _others(axis, value, names.glazes)


def _coats(value: str) -> Level:
    if value.isdecimal():
        return Level(value, coat_count_words(int(value)), (int(value), ""))
    seconds = float(value.removesuffix("s"))
    return Level(value, f"dip {seconds:g} s", (1000 + seconds, ""))


def _others(axis: Axis, value: str, names: Mapping[int, str]) -> Level:
    if value == NOTHING:
        return Level(value, "on bare clay" if axis is Axis.OVER else "nothing over it", (0, ""))
    words = " + ".join(names.get(int(key), GONE) for key in value.split(TOGETHER))
    preposition = "over" if axis is Axis.OVER else "under"
    return Level(value, f"{preposition} {words}", (1 + value.count(TOGETHER), words.casefold()))


def known(axis: Axis, values: Sequence[str], names: Lookups) -> list[Level]:
    """Levels of the values that can be read, in the order of the axis, each once."""
    levels = []
    for value in dict.fromkeys(values):
        try:
            levels.append(level_of(axis, value, names))
        except (ValueError, KeyError, IndexError):
            continue
    return sorted(levels, key=lambda level: level.rank)
