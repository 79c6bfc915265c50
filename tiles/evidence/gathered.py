"""All that one question's results say: effects of single changes, run-off chances, repeats, lots, creep."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import islice

import numpy as np

from firings.cones import series
from firings.estimate import Estimate
from tiles.columns.coded import Numbers
from tiles.conditions.apart import Condition
from tiles.conditions.stack import stack_words
from tiles.evidence.arrays import folded, numbered
from tiles.evidence.drift import creep
from tiles.evidence.lines import MEASURED, ORDERED, Effect, Scale, effects_of
from tiles.evidence.matching import LOOKED_AT, repeated
from tiles.evidence.proportions import wilson
from tiles.evidence.repeat import Repeatability, pooled_spread, share_alike
from tiles.evidence.results import RAN_OFF, SIGHTS, Results, layer_facts
from tiles.evidence.runs import FEWEST_IN_ALL, Cell, Kin

DAYS_A_YEAR = 365.25


@dataclass(frozen=True, slots=True)
class RunRisk:
    """A stack at a cone: how many tiles ran off, and the chance, None for too few to say."""

    stack: str
    cone: str
    order: int
    ran_off: int
    n: int
    chance: Estimate | None


@dataclass(frozen=True, slots=True)
class Spread:
    """How alike repeats are in one figure."""

    scale: Scale
    found: Repeatability


@dataclass(frozen=True, slots=True)
class Creep:
    """How a figure creeps over a year, all else equal."""

    scale: Scale
    found: Estimate

    @property
    def is_clear(self) -> bool:
        """Whether the interval leaves no creep out, to the tenth that is shown."""
        return round(self.found.low, 1) > 0 or round(self.found.high, 1) < 0


@dataclass(frozen=True)
class Risks:
    """Every stack at every cone, with its judged tries on standing tiles.

    stacks, cones : what each cell is of
    cells : how many tries it has, and how many of them ran off
    """

    results: Results
    stacks: Sequence[str]
    cones: Sequence[int]
    cells: Sequence[Cell]
    of_result: Numbers

    @classmethod
    def of(cls, results: Results, standing: frozenset[int]) -> "Risks":
        stands = np.isin(results.forms, [*standing])
        words = [
            stack_words([layer_facts(layer, results.names) for layer in layers]) for layers in results.stacks
        ]
        known = {word: place for place, word in enumerate(dict.fromkeys(words))}
        stack = np.array([known[word] for word in words], np.int64)[results.stack]
        cone = np.array([one.cone or 0 for one in results.besides], np.int64)[results.beside]
        many = int(cone.max(initial=0)) + 1
        of_result = (stack * many + cone)[results.condition]
        rows = np.flatnonzero(stands)
        found, cell = numbered(of_result[rows])
        off = results.sights[SIGHTS.index(RAN_OFF)][rows]
        tries = int(results.tries.max(initial=-1)) + 1
        each, of_try = numbered(cell * tries + results.tries[rows])
        ran = np.zeros(len(each), bool)
        ran[of_try[off]] = True
        n = np.bincount(each // max(tries, 1), minlength=len(found))
        ran_off = np.bincount((each // max(tries, 1))[ran], minlength=len(found))
        names = list(known)
        whole = np.full(len(results), -1, np.int64)
        whole[rows] = cell
        return cls(
            results,
            [names[code // many] for code in found.tolist()],
            (found % many).tolist(),
            list(map(Cell, ran_off.tolist(), n.tolist())),
            whole,
        )

    @cached_property
    def kin(self) -> Kin:
        return Kin.of(self.cells)

    @cached_property
    def tries(self) -> Cell:
        """All of them together."""
        return Cell(sum(cell.ran_off for cell in self.cells), sum(cell.n for cell in self.cells))

    @cached_property
    def ran_off(self) -> Estimate | None:
        """Of all tries, the share that ran off; None for too few to say."""
        return wilson(self.tries.ran_off, self.tries.n) if self.tries.n >= FEWEST_IN_ALL else None

    @cached_property
    def order(self) -> list[int]:
        """The cells, what one can say most of and has most to fear first: those that ran off, then the likeliest to."""
        if not self.cells:
            return []
        means = self.kin.means(self.cells)
        ranked = {stack: rank for rank, stack in enumerate(sorted(set(self.stacks)))}
        # The last key sorts first.
        return np.lexsort(
            (
                self.cones,
                [ranked[stack] for stack in self.stacks],
                [-means[cell] for cell in self.cells],
                [not self.kin.says(cell) for cell in self.cells],
                [not cell.ran_off for cell in self.cells],
            )
        ).tolist()

    def risk(self, place: int) -> RunRisk:
        cone, cell = self.cones[place], self.cells[place]
        label = series.label_of(cone) if cone else ""
        return RunRisk(self.stacks[place], label, cone, cell.ran_off, cell.n, self.kin.chance(cell))

    def page(self, first: int, end: int) -> list[RunRisk]:
        """So many of them in that order."""
        return [self.risk(place) for place in islice(self.order, first, end)]

    def keys_of(self, stack: str, cone: str) -> list[int]:
        """The results behind a stack at a cone, those that ran off first, then the newest."""
        wanted = {
            place
            for place, (words, order) in enumerate(zip(self.stacks, self.cones, strict=True))
            if words == stack and (series.label_of(order) if order else "") == cone
        }
        rows = np.flatnonzero(np.isin(self.of_result, [*wanted])) if wanted else np.zeros(0, np.int64)
        off = self.results.sights[SIGHTS.index(RAN_OFF)][rows]
        return self.results.keys[rows[np.argsort(~off, kind="stable")]].tolist()


@dataclass(frozen=True)
class Evidence:
    """All that one question's results say, each part worked out when it is first asked for, and kept.

    standing : forms of tile that are fired standing; on a flat one nothing can run off
    """

    of: Results
    standing: frozenset[int]
    _changes: dict[Condition, list[Effect]] = field(default_factory=dict, repr=False, compare=False)

    @property
    def results(self) -> int:
        return len(self.of)

    @cached_property
    def tiles(self) -> int:
        return len(np.unique(self.of.tiles))

    def changes_of(self, condition: Condition) -> list[Effect]:
        """Every change of one condition with what it does, in the order of its levels."""
        if condition not in self._changes:
            self._changes[condition] = effects_of(self.of, condition)
        return self._changes[condition]

    @cached_property
    def effects(self) -> list[Effect]:
        return [effect for condition in LOOKED_AT for effect in self.changes_of(condition)]

    @property
    def told(self) -> list[Effect]:
        """Changes with enough pairs, lots apart."""
        return [one for one in self.effects if one.is_enough and one.change.condition is not Condition.LOT]

    @property
    def thin(self) -> list[Effect]:
        """Changes with too few pairs to say, those with most first."""
        thin = [
            one for one in self.effects if not one.is_enough and one.change.condition is not Condition.LOT
        ]
        return sorted(thin, key=lambda one: -one.n)

    @property
    def lots(self) -> list[Effect]:
        """From lot to lot."""
        return self.changes_of(Condition.LOT)

    @property
    def pair_count(self) -> int:
        return sum(one.n for one in self.effects)

    @cached_property
    def risks(self) -> Risks:
        return Risks.of(self.of, self.standing)

    @cached_property
    def repeated(self) -> tuple[Numbers, Numbers]:
        """The repeats: places and conditions of results, as `matching.repeated` finds them."""
        return repeated(self.of)

    @cached_property
    def but_lots(self) -> Numbers:
        return but_lots(self.of)

    @property
    def repeats(self) -> int:
        """So many conditions were repeated."""
        return len(np.unique(self.repeated[1]))

    @cached_property
    def spreads(self) -> list[Spread]:
        return spreads(self.of, *self.repeated)

    @cached_property
    def alike(self) -> Estimate | None:
        """The share of repeated conditions whose surface was judged alike."""
        places, conditions = self.repeated
        surface = self.of.figures[ORDERED[0].figure][places]
        is_judged = ~np.isnan(surface)
        return share_alike(surface[is_judged], conditions[is_judged])

    @cached_property
    def creeps(self) -> list[Creep]:
        return creeps(self.of, self.but_lots)


def spreads(results: Results, places: Numbers, conditions: Numbers) -> list[Spread]:
    """How far repeats differ, for each figure that was measured in any.

    places, conditions : the repeats, as `repeated` finds them
    """
    found = []
    for scale in MEASURED:
        figures = results.figures[scale.figure][places]
        known = ~np.isnan(figures)
        spread = pooled_spread(figures[known], conditions[known])
        if spread.groups:
            found.append(Spread(scale, spread))
    return found


def creeps(results: Results, of: Numbers) -> list[Creep]:
    """How figures creep over a year: tries of the same conditions against one another.

    of : for each result the number of its conditions, lots left aside, as `but_lots` finds it
    """
    _, once = np.unique(of * (int(results.tries.max(initial=-1)) + 1) + results.tries, return_index=True)
    found = []
    for scale in MEASURED:
        figures = results.figures[scale.figure]
        rows = once[~np.isnan(figures[once])]
        slope = creep(results.days[rows], figures[rows], of[rows])
        if slope:
            found.append(Creep(scale, slope.times(DAYS_A_YEAR)))
    return found


def but_lots(results: Results) -> Numbers:
    """For each result a number that is the same where only lots differ."""
    stacks = [tuple(layer._replace(lot=0) for layer in layers) for layers in results.stacks]
    known = {stack: place for place, stack in enumerate(dict.fromkeys(stacks))}
    which = np.array([known[stack] for stack in stacks], np.int64)
    sizes = (max(len(results.besides), 1), max(len(known), 1))
    return numbered(folded([results.beside, which[results.stack]], sizes))[1][results.condition]
