"""What of a plan was fired, among all results held: each combination once, with the results that show it."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from tiles.columns.coded import Numbers
from tiles.columns.held import Held
from tiles.columns.values import HEAT, SERIES, STACK, WARE
from tiles.evidence.results import Layer, layers_of
from tiles.plans.reading import Laid, Reading, read_combination
from tiles.plans.tilelist import Combination


@dataclass(frozen=True, slots=True)
class Fired:
    """A combination and the keys of the outcomes that show it."""

    combination: Combination
    outcomes: Numbers


def fired_in(held: Held, reading: Reading, glazes: Collection[int], series: int | None = None) -> list[Fired]:
    """The different combinations of a plan among all results held, or among those of one series.

    Stacks, heats and wares are read apart, each that occurs once; rows only tell which of them occur together.
    """
    levels = {factor: frozenset(its) for factor, its in reading.sketch.levels.items() if its}
    stacks = _read(levels, held.sizes[STACK], _stacks_read(reading, glazes, held))
    heats = _read(levels, held.sizes[HEAT], _heats_read(held))
    wares = _read(levels, held.sizes[WARE], _wares_read(reading, held))
    codes = held.rows.codes
    passed = stacks.places.take(codes[STACK]) >= 0
    if series is not None:
        passed &= held.facets["series"].answering(series.__eq__).take(codes[SERIES])
    rows = np.flatnonzero(passed)
    stack, heat, ware = (
        part.places.take(codes[column].take(rows))
        for part, column in ((stacks, STACK), (heats, HEAT), (wares, WARE))
    )
    is_whole = (heat >= 0) & (ware >= 0)
    together = ((stack * len(heats.found) + heat) * len(wares.found) + ware)[is_whole]
    order = np.argsort(together, kind="stable")
    numbers, starts = np.unique(together[order], return_index=True)
    outcomes = np.split(held.rows.keys[rows[is_whole]][order], starts[1:])
    found = []
    for number, its in zip(numbers.tolist(), outcomes, strict=False):
        rest, ware_at = divmod(number, len(wares.found))
        stack_at, heat_at = divmod(rest, len(heats.found))
        found.append(Fired({**stacks.found[stack_at], **heats.found[heat_at], **wares.found[ware_at]}, its))
    return found


@dataclass(frozen=True, slots=True)
class _Part:
    """What a column gives to the combinations of a plan.

    places : for each of its codes the place of what it gives in `found`; -1 where that is not of the plan
    """

    places: Numbers
    found: list[Combination]


def _read(levels: Mapping[str, frozenset[str]], size: int, read: Iterable[tuple[int, Combination]]) -> _Part:
    """Of what codes were read as, the factors of the plan; those with other levels left out."""
    places = np.full(size, -1, np.int64)
    known: dict[tuple[tuple[str, str], ...], int] = {}
    for code, one in read:
        asked = tuple((factor, level) for factor, level in one.items() if factor in levels)
        if all(level in levels[factor] for factor, level in asked):
            places[code] = known.setdefault(asked, len(known))
    return _Part(places, [dict(asked) for asked in known])


def _stacks_read(reading: Reading, glazes: Collection[int], held: Held) -> Iterator[tuple[int, Combination]]:
    stacks = held.books[STACK].values
    for code in np.flatnonzero(held.facets["glaze"].answering(glazes.__contains__)).tolist():
        if stacks[code].layers <= reading.most_layers:
            one = reading.combination([_laid(layer) for layer in layers_of(stacks[code])], {})
            if one is not None:
                yield code, one


def _heats_read(held: Held) -> Iterator[tuple[int, Combination]]:
    for code, heat in enumerate(held.books[HEAT].values[: held.sizes[HEAT]]):
        facts = read_combination(0, 0, heat.reached, heat.atmosphere, heat.hold_min)
        yield code, {factor: facts[factor] for factor in ("cone", "atmosphere", "hold")}


def _wares_read(reading: Reading, held: Held) -> Iterator[tuple[int, Combination]]:
    for code, ware in enumerate(held.books[WARE].values[: held.sizes[WARE]]):
        yield code, {"body": str(ware.body), "form": reading.form or str(ware.form)}


def _laid(layer: Layer) -> Laid:
    """A layer as a plan reads it."""
    amount = layer.coats
    if amount is None:
        seconds = float(layer.amount[:-1])
        amount = int(seconds) if seconds.is_integer() else None
    return Laid(str(layer.glaze), amount, layer.method, str(layer.lot or ""))
