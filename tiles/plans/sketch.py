"""A plan as a person drew it up: factors with their levels, rules between them, how the tiles are made; kept as JSON.

A level is a word: the key of a glaze, body, form or lot, a cone's rank, a number of coats, minutes of hold, or "none"
where nothing goes over or under. `version` says how the JSON is to be read; what an unknown version says is refused.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields
from typing import Any

VERSION = 1
NONE = "none"

# In the order people think of them: what goes on, then what it goes on, then the fire.
OF_THE_ZONE = ("glaze", "under", "over", "coats", "method", "lot")
OF_THE_TILE = ("body", "form", "cone", "atmosphere", "hold")
FACTORS = (*OF_THE_ZONE, *OF_THE_TILE)
# Their levels rise, so that a rule may say "never above".
RISING = ("coats", "cone", "hold")
NEEDED = ("glaze", "coats", "body", "form")
VERBS = ("with", "above", "below")
WAYS = ("all", "pairs", "threes")
RESTS = ("same", "bare")
STRENGTHS = {"all": 2, "pairs": 2, "threes": 3}

MOST_COPIES = 10
MOST_TILES = 500


class UnreadablePlan(ValueError):
    """Kept by a later version, or not a plan at all; the message says which."""


@dataclass(frozen=True, slots=True)
class NeverRule:
    """A rule in plain words: `level` of `factor` is never made `verb` ("with", "above", "below") `bound` of `other`."""

    factor: str
    level: str
    verb: str
    other: str
    bound: str

    def never_levels(self, levels: Sequence[str]) -> frozenset[str]:
        """The levels of the other factor, out of those the plan has, that are ruled out.

        >>> sorted(NeverRule("body", "3", "above", "cone", "30").never_levels(["29", "30", "34"]))
        ['34']
        """
        if self.verb == "with":
            return frozenset(level for level in levels if level == self.bound)
        side = 1 if self.verb == "above" else -1
        return frozenset(level for level in levels if side * (float(level) - float(self.bound)) > 0)


@dataclass(frozen=True, slots=True)
class Mixing:
    """A blend whose mixes are levels of the glaze: `glazes` by key, `steps` between corners, each mix `batch_g`."""

    glazes: tuple[str, ...] = ()
    steps: int = 4
    batch_g: float = 100.0


@dataclass(frozen=True, slots=True)
class Sketch:
    """What a series is planned from.

    levels : for each factor its levels; a factor without levels is not in the plan
    way : "all" combinations, or few in which all "pairs" or all "threes" of levels meet
    side_by_side : factors of the zone whose levels share a tile, side by side on its bands
    rest : zones that have no combination of their own are glazed the "same" as the thickest beside them, or "bare"
    most : at most so many tiles, the most telling; None for as many as it takes
    seed : of the random order; the same seed gives the same order
    """

    levels: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    rules: tuple[NeverRule, ...] = ()
    mixing: Mixing = Mixing()
    way: str = "pairs"
    side_by_side: tuple[str, ...] = ("coats",)
    rest: str = "same"
    existing_counts: bool = True
    copies: int = 1
    most: int | None = None
    seed: int = 1
    under_coats: int = 1
    over_coats: int = 1
    kiln: str = ""
    bisque: bool = True
    waste_pct: float = 20.0
    tiles_a_day: int = 20
    days_a_firing: float = 2.0
    clay_price_kg: float | None = None
    glaze_price_kg: float | None = None
    firing_price: float | None = None

    @property
    def strength(self) -> int:
        """How many conditions must meet."""
        return STRENGTHS[self.way]

    def as_json(self) -> dict[str, Any]:
        """What is kept in the series."""
        plain = {one.name: getattr(self, one.name) for one in fields(self)}
        return {
            **plain,
            "version": VERSION,
            "levels": {factor: list(levels) for factor, levels in self.levels.items()},
            "rules": [[rule.factor, rule.level, rule.verb, rule.other, rule.bound] for rule in self.rules],
            "mixing": [list(self.mixing.glazes), self.mixing.steps, self.mixing.batch_g],
            "side_by_side": list(self.side_by_side),
        }

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> "Sketch":
        """The plan that was kept; an empty one where none was.

        Raises
        ------
        UnreadablePlan : kept by a later version, or damaged
        """
        if not kept:
            return cls()
        if kept.get("version") != VERSION:
            raise UnreadablePlan(
                f"This plan was kept in version {kept.get('version')}; this program reads version {VERSION}."
            )
        try:
            return cls(**_read(kept))
        except (KeyError, TypeError, ValueError, AttributeError) as trouble:
            raise UnreadablePlan(f"This plan cannot be read: {trouble}.") from None


def _read(kept: Mapping[str, Any]) -> dict[str, Any]:
    known = {one.name for one in fields(Sketch)}
    plain = {name: value for name, value in kept.items() if name in known}
    glazes, steps, batch_g = kept["mixing"]
    return {
        **plain,
        "levels": in_order({factor: tuple(map(str, levels)) for factor, levels in kept["levels"].items()}),
        "rules": tuple(NeverRule(*map(str, rule)) for rule in kept["rules"]),
        "mixing": Mixing(tuple(map(str, glazes)), int(steps), float(batch_g)),
        "side_by_side": tuple(kept["side_by_side"]),
    }


def in_order(levels: Mapping[str, Iterable[str]]) -> dict[str, tuple[str, ...]]:
    """Factors in the order people think of them, each level once, rising ones sorted; empty factors left out.

    >>> in_order({"cone": ["34", "30", "30"], "glaze": ["7"], "hold": []})
    {'glaze': ('7',), 'cone': ('30', '34')}
    """
    once = {factor: list(dict.fromkeys(levels.get(factor, ()))) for factor in FACTORS}
    return {
        factor: tuple(sorted(names, key=float) if factor in RISING else names)
        for factor, names in once.items()
        if names
    }


def without_makings(plan: Mapping[str, Any]) -> dict[str, Any]:
    """A series' plan without the record of what was made from it."""
    return {name: value for name, value in plan.items() if name != "made"}
