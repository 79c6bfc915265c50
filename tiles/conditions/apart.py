"""One change apart: two results whose conditions differ in exactly one thing, and in which.

Place in the kiln, day, target cone and the zone's name do not count: no two tiles share a place, and the cone that was
reached is the one that made the result. A lot that was not noted counts as a lot of its own.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from firings.cones import series
from firings.vocabulary import Atmosphere, Term
from tiles.conditions.facts import Conditions, LayerFacts
from tiles.conditions.stack import amount_words, stack_words
from tiles.vocabulary import Method

NOTHING = "nothing"


class Condition(Term):
    """What may differ, in the order a tester asks. STACK stands for more than one thing about the stack."""

    CONE = "cone", "cone"
    COATS = "coats", "coats"
    BODY = "body", "clay body"
    ATMOSPHERE = "atmosphere", "atmosphere"
    HOLD = "hold", "hold"
    OVER = "over", "over it"
    UNDER = "under", "under it"
    LOT = "lot", "lot"
    KILN = "kiln", "kiln"
    METHOD = "method", "put on"
    TEXTURE = "texture", "texture"
    FORM = "form", "tile form"
    FIRINGS = "firings", "firings"
    STACK = "stack", "stack"


@dataclass(frozen=True, slots=True, order=True)
class Level:
    """One value of a condition. `rank` orders levels; `value` names it in an address, where it has such a name."""

    rank: float
    words: str
    value: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Difference:
    """What one change is: the condition, the layer it is about (counted from the bottom, None for all else), levels."""

    condition: Condition
    layer: int | None
    mine: Level
    theirs: Level


def _cone_level(facts: Conditions) -> Level:
    if facts.reached_order is None:
        return Level(0, "not known")
    label = series.label_of(facts.reached_order)
    return Level(facts.reached_order, label, label)


def hold_words(minutes: int) -> str:
    return f"{minutes} min" if minutes else "none"


@cache
def _place_in(terms: type[Term], value: str) -> int:
    """Where a term stands in its list; what is not in it stands last."""
    values = terms.values()
    return values.index(value) if value in values else len(values)


def _atmosphere_level(facts: Conditions) -> Level:
    value = facts.atmosphere
    return Level(_place_in(Atmosphere, value), Atmosphere.label_of(value), value)


# Conditions beside the stack, each with what makes it up and how its level reads.
SIMPLE: Mapping[Condition, tuple[Any, Any]] = {
    Condition.CONE: (lambda facts: facts.reached_order, _cone_level),
    Condition.BODY: (lambda facts: facts.body_id, lambda facts: Level(0, facts.body, str(facts.body_id))),
    Condition.ATMOSPHERE: (lambda facts: facts.atmosphere, _atmosphere_level),
    Condition.HOLD: (
        lambda facts: facts.hold_min,
        lambda facts: Level(facts.hold_min, hold_words(facts.hold_min), str(facts.hold_min)),
    ),
    Condition.KILN: (lambda facts: facts.kiln, lambda facts: Level(0, facts.kiln)),
    Condition.TEXTURE: (
        lambda facts: facts.textured,
        lambda facts: Level(facts.textured, "textured" if facts.textured else "smooth"),
    ),
    Condition.FORM: (lambda facts: facts.form, lambda facts: Level(0, facts.form)),
    Condition.FIRINGS: (
        lambda facts: facts.firing_count,
        lambda facts: Level(
            facts.firing_count, "once" if facts.firing_count == 1 else f"{facts.firing_count} times"
        ),
    ),
}


def level_of(condition: Condition, facts: Conditions) -> Level:
    """The level of a condition beside the stack."""
    level: Level = SIMPLE[condition][1](facts)
    return level


def coats_level(layer: LayerFacts) -> Level:
    """How much of a layer, coats before dips."""
    if layer.dip_s is not None:
        return Level(1000 + float(layer.dip_s), amount_words(layer))
    return Level(layer.coats or 0, amount_words(layer), str(layer.coats))


def lot_level(layer: LayerFacts) -> Level:
    return Level(not layer.lot, layer.lot or "not noted", str(layer.batch_id or ""))


def layer_level(layers: Sequence[LayerFacts]) -> Level:
    """One layer laid over or under, or nothing."""
    return Level(1, stack_words(layers)) if layers else Level(0, NOTHING)


def _method_level(layer: LayerFacts) -> Level:
    return Level(_place_in(Method, layer.method), Method.label_of(layer.method), layer.method)


def _amount(layer: LayerFacts) -> Any:
    return layer.coats if layer.dip_s is None else layer.dip_s.normalize()


def _in_a_layer(mine: LayerFacts, theirs: LayerFacts, place: int) -> Difference | None:
    """The one thing that differs in a layer of the same glaze; what goes with another method goes with it."""
    is_as_much = _amount(mine) == _amount(theirs) and (mine.dip_s is None) == (theirs.dip_s is None)
    is_of_one_lot = mine.batch_id == theirs.batch_id
    if mine.method != theirs.method:
        is_other_measure = (mine.dip_s is None) != (theirs.dip_s is None)
        if is_of_one_lot and (is_as_much or is_other_measure):
            return Difference(Condition.METHOD, place, _method_level(mine), _method_level(theirs))
        return None
    if is_of_one_lot and not is_as_much:
        return Difference(Condition.COATS, place, coats_level(mine), coats_level(theirs))
    if is_as_much and not is_of_one_lot:
        return Difference(Condition.LOT, place, lot_level(mine), lot_level(theirs))
    return None


def _same(mine: LayerFacts, theirs: LayerFacts) -> bool:
    return (mine.glaze_id, mine.method, _amount(mine), mine.dip_s is None, mine.batch_id) == (
        theirs.glaze_id,
        theirs.method,
        _amount(theirs),
        theirs.dip_s is None,
        theirs.batch_id,
    )


def _same_stack(mine: Sequence[LayerFacts], theirs: Sequence[LayerFacts]) -> bool:
    return len(mine) == len(theirs) and all(map(_same, mine, theirs))


def stack_difference(mine: Sequence[LayerFacts], theirs: Sequence[LayerFacts]) -> Difference | None:
    """The one change between two stacks that are not the same; None where it takes more than one.

    A layer more or less, or another one in its stead, on top is OVER, at the bottom UNDER. One glaze alone against
    another alone is no change of one stack but another stack.
    """
    if len(mine) == len(theirs):
        apart = [place for place, pair in enumerate(zip(mine, theirs, strict=True)) if not _same(*pair)]
        if len(apart) != 1:
            return None
        place = apart[0]
        if mine[place].glaze_id == theirs[place].glaze_id:
            return _in_a_layer(mine[place], theirs[place], place)
        return _instead(mine, theirs, place)
    if mine and theirs and abs(len(mine) - len(theirs)) == 1:
        return _a_layer_more(mine, theirs)
    return None


def _instead(mine: Sequence[LayerFacts], theirs: Sequence[LayerFacts], place: int) -> Difference | None:
    """Another glaze in the stead of the top or the bottom layer."""
    if len(mine) == 1 or 0 < place < len(mine) - 1:
        return None
    condition = Condition.OVER if place else Condition.UNDER
    return Difference(condition, place, layer_level([mine[place]]), layer_level([theirs[place]]))


def _a_layer_more(mine: Sequence[LayerFacts], theirs: Sequence[LayerFacts]) -> Difference | None:
    longer, shorter = (mine, theirs) if len(mine) > len(theirs) else (theirs, mine)
    is_mine = longer is mine
    for condition, rest, layer in (
        (Condition.OVER, longer[:-1], longer[-1:]),
        (Condition.UNDER, longer[1:], longer[:1]),
    ):
        if _same_stack(rest, shorter):
            levels = layer_level(layer), layer_level(())
            # Counted in my own stack: the layer that is mine, or the place one more would take.
            place = len(shorter) if condition is Condition.OVER else 0 if is_mine else -1
            return Difference(condition, place, *(levels if is_mine else levels[::-1]))
    return None


def differing(mine: Conditions, theirs: Conditions) -> tuple[Condition, ...]:
    """All conditions in which two results differ; STACK where their stacks differ in more than one thing."""
    found = [condition for condition, (made_of, _) in SIMPLE.items() if made_of(mine) != made_of(theirs)]
    if not _same_stack(mine.layers, theirs.layers):
        change = stack_difference(mine.layers, theirs.layers)
        found.append(change.condition if change else Condition.STACK)
    return tuple(found)


def difference(mine: Conditions, theirs: Conditions) -> Difference | None:
    """The one thing in which two results differ; None where they are the same or more than one change apart."""
    found = differing(mine, theirs)
    if len(found) != 1 or found[0] is Condition.STACK:
        return None
    condition = found[0]
    if condition in SIMPLE:
        return Difference(condition, None, level_of(condition, mine), level_of(condition, theirs))
    return stack_difference(mine.layers, theirs.layers)


@dataclass(frozen=True, slots=True)
class Place:
    """One level in a row: the results that stand there, by their keys; none where it is still to be planned."""

    level: Level
    is_this: bool
    keys: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Row:
    """All levels of one condition, everything else as it is in this result."""

    condition: Condition
    layer: int | None
    title: str
    places: tuple[Place, ...]

    @property
    def result_count(self) -> int:
        return sum(len(place.keys) for place in self.places)


Kind = tuple[Condition, int | None]


def kind_of(mine: Conditions, condition: Condition) -> Kind:
    """The row that offers levels to plan: of the top layer, where it is about a layer."""
    about_a_layer = condition in (Condition.COATS, Condition.LOT)
    return condition, len(mine.layers) - 1 if about_a_layer else None


def rows(
    mine: Conditions,
    others: Iterable[tuple[int, Conditions]],
    offered: Mapping[Condition, Iterable[Level]] | None = None,
) -> list[Row]:
    """What is one change apart from a result, by what differs, in the order of the levels.

    others : results with their keys; those that are not one change apart are left out
    offered : levels that could be planned, shown where no result stands
    """
    found: dict[Kind, dict[Level, list[int]]] = defaultdict(lambda: defaultdict(list))
    this: dict[Kind, Level] = {}
    for key, theirs in others:
        change = difference(mine, theirs)
        if change is not None:
            kind = (change.condition, change.layer)
            this[kind] = change.mine
            found[kind][change.theirs].append(key)
    for condition, levels in (offered or {}).items():
        kind = kind_of(mine, condition)
        if mine.layers or kind[1] is None:
            this.setdefault(kind, _own_level(mine, kind))
            for level in levels:
                found[kind][level].extend(())
    order = list(Condition)
    ordered = sorted(found.items(), key=lambda one: (order.index(one[0][0]), -(one[0][1] or 0)))
    made = [_row(mine, kind, this[kind], levels) for kind, levels in ordered]
    return [row for row in made if len(row.places) > 1]


def _own_level(mine: Conditions, kind: Kind) -> Level:
    condition, layer = kind
    if layer is None:
        return level_of(condition, mine)
    return coats_level(mine.layers[layer]) if condition is Condition.COATS else lot_level(mine.layers[layer])


def _row(mine: Conditions, kind: Kind, own: Level, levels: Mapping[Level, Sequence[int]]) -> Row:
    places = [Place(level, False, tuple(keys)) for level, keys in levels.items() if level != own]
    return Row(
        *kind, title_of(mine, kind), tuple(sorted([*places, Place(own, True, ())], key=lambda one: one.level))
    )


def title_of(mine: Conditions, kind: Kind) -> str:
    """What a row is called: coats of Harbour where there is more than one layer, over Flux L, under it."""
    condition, place = kind
    if place is None or not mine.layers:
        return condition.label
    if condition is Condition.OVER and place < len(mine.layers):
        return f"over {mine.layers[place - 1].glaze}"
    if condition is Condition.UNDER and place == 0 and len(mine.layers) > 1:
        return f"under {mine.layers[1].glaze}"
    if condition in (Condition.OVER, Condition.UNDER) or len(mine.layers) == 1:
        return condition.label
    joined = {Condition.METHOD: "{glaze} put on"}.get(condition, "{condition} of {glaze}")
    return joined.format(glaze=mine.layers[place].glaze, condition=condition.label)
