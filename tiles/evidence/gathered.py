"""All that one question's results say: effects of single changes, run-off chances, repeats, lots, creep."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean

from firings.cones import series
from firings.estimate import Estimate
from tiles.conditions.apart import Condition
from tiles.conditions.stack import stack_words
from tiles.evidence.drift import creep
from tiles.evidence.lines import MEASURED, Effect, Scale, effects
from tiles.evidence.matching import Result, matched, repeated, simple_of, stack_of
from tiles.evidence.proportions import wilson
from tiles.evidence.repeat import Repeatability, pooled_spread, share_alike
from tiles.evidence.runs import FEWEST_IN_ALL, Cell, chances

DAYS_A_YEAR = 365.25
MOST_RISKS = 12


@dataclass(frozen=True, slots=True)
class RunRisk:
    """A stack at a cone: how many tiles ran off, and the chance, None for too few to say."""

    stack: str
    cone: str
    order: int
    ran_off: int
    n: int
    chance: Estimate | None
    keys: tuple[int, ...]


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


@dataclass(frozen=True, slots=True)
class Evidence:
    """Everything, of so many results of so many tiles."""

    results: int
    tiles: int
    effects: list[Effect]
    risks: list[RunRisk]
    repeats: int
    spreads: list[Spread]
    alike: Estimate | None
    creeps: list[Creep]
    ran_off: Estimate | None

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
        return [one for one in self.effects if one.change.condition is Condition.LOT]

    @property
    def pair_count(self) -> int:
        return sum(one.n for one in self.effects)

    @property
    def told_risks(self) -> list[RunRisk]:
        """Stacks that ran off, then as many of the others as a table takes, the likeliest first."""
        ran = [one for one in self.risks if one.ran_off]
        told = [one for one in self.risks if one.chance and not one.ran_off]
        return [*ran, *told[: max(MOST_RISKS - len(ran), 0)]]

    @property
    def calm(self) -> tuple[int, int]:
        """Stacks not in that table, none of which ran off, and their tiles."""
        told = {id(one) for one in self.told_risks}
        left = [one for one in self.risks if id(one) not in told]
        return len(left), sum(one.n for one in left)


def gathered(results: Sequence[Result]) -> Evidence:
    """What these results say."""
    groups = repeated(results)
    return Evidence(
        results=len(results),
        tiles=len({result.tile_id for result in results}),
        effects=effects(matched(results)),
        risks=run_risks(results),
        repeats=len(groups),
        spreads=spreads(groups),
        alike=share_alike([[one.surface for one in group if one.surface is not None] for group in groups]),
        creeps=creeps(results),
        ran_off=_ran_off_share(results),
    )


def _by_stack(results: Sequence[Result]) -> dict[tuple[str, int], dict[tuple[int, int], list[Result]]]:
    """Results by stack and cone, within it by tile and firing: zones alike on one tile are one try."""
    cells: dict[tuple[str, int], dict[tuple[int, int], list[Result]]] = defaultdict(lambda: defaultdict(list))
    for result in results:
        facts = result.conditions
        cell = cells[stack_words(facts.layers), facts.reached_order or 0]
        cell[result.tile_id, result.firing_id].append(result)
    return cells


def run_risks(results: Sequence[Result]) -> list[RunRisk]:
    """The chance of running off for each stack at each cone, the likeliest first."""
    cells = _by_stack(results)
    counted = [
        Cell(sum(any(one.ran_off for one in zones) for zones in tries.values()), len(tries))
        for tries in cells.values()
    ]
    found = [
        RunRisk(
            stack,
            series.label_of(order) if order else "",
            order,
            cell.ran_off,
            cell.n,
            chance,
            tuple(one.key for zones in tries.values() for one in zones),
        )
        for ((stack, order), tries), cell, chance in zip(
            cells.items(), counted, chances(counted), strict=True
        )
    ]
    return sorted(found, key=_most_to_fear)


def _most_to_fear(risk: RunRisk) -> tuple[float, float, str, int]:
    """What ran off comes first, then the likeliest to."""
    return -risk.ran_off / risk.n, -(risk.chance.value if risk.chance else 0), risk.stack, risk.order


def _ran_off_share(results: Sequence[Result]) -> Estimate | None:
    """Of all tries, the share that ran off; None for too few to say."""
    tries = [zones for cell in _by_stack(results).values() for zones in cell.values()]
    if len(tries) < FEWEST_IN_ALL:
        return None
    return wilson(sum(any(one.ran_off for one in zones) for zones in tries), len(tries))


def spreads(groups: Sequence[Sequence[Result]]) -> list[Spread]:
    """How far repeats differ, for each figure that was measured in any."""
    found = []
    for scale in MEASURED:
        figures = [[value for one in group if (value := scale.figure(one)) is not None] for group in groups]
        if any(len(values) > 1 for values in figures):
            found.append(Spread(scale, pooled_spread(figures)))
    return found


def creeps(results: Sequence[Result]) -> list[Creep]:
    """How figures creep over a year: each against the mean of its own conditions, lots left aside."""
    groups: dict[object, list[Result]] = defaultdict(list)
    for result in results:
        facts = result.conditions
        groups[simple_of(facts), stack_of(facts.layers, lots=False)].append(result)
    found = []
    for scale in MEASURED:
        times, values = _against_their_own(list(groups.values()), scale)
        slope = creep(times, values)
        if slope:
            found.append(Creep(scale, slope.times(DAYS_A_YEAR)))
    return found


def _against_their_own(groups: Sequence[Sequence[Result]], scale: Scale) -> tuple[list[float], list[float]]:
    """Days and figures, each less the mean of its group; groups of one day say nothing of time."""
    times, values = [], []
    for group in groups:
        known = [
            (one.fired_on.toordinal(), value) for one in group if (value := scale.figure(one)) is not None
        ]
        if len({day for day, _ in known}) > 1:
            day_mean, mean = fmean(day for day, _ in known), fmean(value for _, value in known)
            times += [day - day_mean for day, _ in known]
            values += [value - mean for _, value in known]
    return times, values
