"""Factors and their levels, the rules between them, and the tiles they ask for in words."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from tiles.plans.coverage import Never, Row
from tiles.plans.covering import CoveringSet, ImpossiblePlan, all_combinations, covering_set


@dataclass(frozen=True, slots=True)
class Factor:
    """One condition that varies, such as the cone, with its levels in the trade's order."""

    name: str
    levels: tuple[str, ...]

    def index_of(self, level: str) -> int:
        """Where a level stands; raises ImpossiblePlan in words."""
        try:
            return self.levels.index(level)
        except ValueError:
            raise ImpossiblePlan(f"{self.name} has no level {level} in this plan.") from None


@dataclass(frozen=True, slots=True)
class Rule:
    """Levels that never come together: for each factor named, any of its levels given."""

    levels: Mapping[str, frozenset[str]]
    words: str = ""


@dataclass(frozen=True, slots=True)
class Plan:
    """Factors with their rules. A tile of the plan is one level of each factor, by name."""

    factors: tuple[Factor, ...]
    rules: tuple[Rule, ...] = ()

    @property
    def level_counts(self) -> Row:
        return tuple(len(factor.levels) for factor in self.factors)

    def place_of(self, name: str) -> int:
        """Where a factor stands; raises ImpossiblePlan in words."""
        for place, factor in enumerate(self.factors):
            if factor.name == name:
                return place
        raise ImpossiblePlan(f"The plan does not vary {name}.")

    @property
    def never(self) -> list[Never]:
        """The rules as combinations of indices."""
        return [combination for rule in self.rules for combination in self._combinations(rule)]

    def _combinations(self, rule: Rule) -> Iterable[Never]:
        places = [self.place_of(name) for name in rule.levels]
        indices = [
            sorted(self.factors[place].index_of(level) for level in levels)
            for place, levels in zip(places, rule.levels.values(), strict=True)
        ]
        return (tuple(zip(places, one, strict=True)) for one in product(*indices))

    def row_of(self, tile: Mapping[str, str]) -> Row | None:
        """A tile as level indices; None where it has a level that is not in the plan."""
        levels = [tile.get(factor.name) for factor in self.factors]
        if any(level not in factor.levels for level, factor in zip(levels, self.factors, strict=True)):
            return None
        return tuple(
            factor.levels.index(level)
            for level, factor in zip(levels, self.factors, strict=True)
            if level is not None
        )

    def rows_of(self, tiles: Iterable[Mapping[str, str]]) -> list[Row]:
        """The tiles that are of the plan, as level indices, each once."""
        return list(dict.fromkeys(row for row in map(self.row_of, tiles) if row is not None))

    def tiles_of(self, rows: Iterable[Sequence[int]]) -> list[dict[str, str]]:
        """Rows of level indices as tiles in words."""
        return [
            {factor.name: factor.levels[level] for factor, level in zip(self.factors, row, strict=True)}
            for row in rows
        ]

    def every_tile(self, existing: Iterable[Mapping[str, str]] = ()) -> list[dict[str, str]]:
        """All combinations the rules allow, without those that exist."""
        there = set(self.rows_of(existing))
        rows = all_combinations(self.level_counts, never=self.never)
        return self.tiles_of(row for row in rows if row not in there)

    def covering(self, strength: int = 2, existing: Iterable[Mapping[str, str]] = ()) -> CoveringSet:
        """Few tiles in which every `strength` levels meet; what existing tiles show is left out."""
        return covering_set(self.level_counts, strength, never=self.never, existing=self.rows_of(existing))


def never_above(plan: Plan, factor: str, level: str, rising: str, top: str) -> Rule:
    """The rule "this body never above cone 6": `rising` is a factor whose levels rise.

    >>> plan = Plan((Factor("body", ("Dune", "Quay")), Factor("cone", ("5", "6", "8", "10"))))
    >>> sorted(never_above(plan, "body", "Dune", "cone", "6").levels["cone"])
    ['10', '8']
    """
    cones = plan.factors[plan.place_of(rising)]
    above = cones.levels[cones.index_of(top) + 1 :]
    return Rule({factor: frozenset({level}), rising: frozenset(above)}, f"{level} never above {rising} {top}")
