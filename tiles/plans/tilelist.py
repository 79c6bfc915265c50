"""The tile list of a plan: which combinations are made, which share a tile, and what each tile saved costs.

Levels that lie side by side on a tile's bands cost no tile: what covers the other factors is covered first, and each
of its tiles takes as many of those levels as it has bands, like the small plots of a split-plot design. What is left
out so, for want of bands or because a rule forbids it, is added.
"""

import heapq
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product

from tiles.plans.coverage import Coverage, Never, Row, breaks, extends
from tiles.plans.covering import ImpossiblePlan, all_combinations, covering_set
from tiles.plans.factors import Factor, Plan, Rule
from tiles.plans.packing import packed
from tiles.plans.sketch import MOST_TILES, NONE, OF_THE_TILE, NeverRule, Sketch

Combination = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class PlannedTile:
    """One tile: its combinations, one to a zone, and the share of what can meet that it and those before show."""

    combinations: tuple[Combination, ...]
    share: float

    @property
    def first(self) -> Combination:
        return self.combinations[0]


@dataclass(frozen=True)
class TileList:
    """What a plan comes to.

    tiles : the most telling first; copies are not repeated here
    cut : how many more tiles the whole plan would take
    shown_before : the share that existing tiles show
    counted : which of the existing combinations are of the plan, by their place
    possible : how many pairs, or threes, can meet
    """

    tiles: tuple[PlannedTile, ...]
    cut: int
    shown_before: float
    counted: tuple[int, ...]
    possible: int
    every_tile: int
    way: str
    is_smallest: bool
    curve: tuple[float, ...]

    @property
    def combinations(self) -> int:
        return sum(len(tile.combinations) for tile in self.tiles)

    @property
    def share(self) -> float:
        """The share shown once all tiles of the list are made."""
        return self.tiles[-1].share if self.tiles else self.shown_before


class Drawing:
    """A sketch turned into the engine's factors: those of one level are set aside, as nothing meets by them."""

    def __init__(self, sketch: Sketch, own_lots: Mapping[str, Collection[str]]) -> None:
        self.sketch = sketch
        self.levels = {factor: tuple(levels) for factor, levels in sketch.levels.items()}
        self.fixed = {factor: levels[0] for factor, levels in self.levels.items() if len(levels) == 1}
        varied = tuple(Factor(name, levels) for name, levels in self.levels.items() if len(levels) > 1)
        rules = [*map(self._rule, sketch.rules), *implied(self.levels, own_lots)]
        self.plan = Plan(varied, tuple(left for rule in rules if rule and (left := self._of_varied(rule))))

    def _rule(self, rule: NeverRule) -> Rule | None:
        if rule.level not in self.levels.get(rule.factor, ()) or rule.factor == rule.other:
            return None
        bound = rule.never_levels(self.levels.get(rule.other, ()))
        return Rule({rule.factor: frozenset({rule.level}), rule.other: bound}) if bound else None

    def _of_varied(self, rule: Rule) -> Rule | None:
        """The rule without the factors of one level; None where one of those is not the rule's."""
        if any(self.fixed[name] not in levels for name, levels in rule.levels.items() if name in self.fixed):
            return None
        left = {name: levels for name, levels in rule.levels.items() if name not in self.fixed}
        if not left:
            raise ImpossiblePlan("The rules forbid every tile of this plan; take one away.")
        return Rule(left)

    @cached_property
    def never(self) -> tuple[Never, ...]:
        return tuple(self.plan.never)

    def row_of(self, one: Combination) -> Row | None:
        """A combination as a row; None where it has a level that is not of the plan."""
        if any(one.get(factor) != level for factor, level in self.fixed.items()):
            return None
        return self.plan.row_of(one)

    def whole(self, row: Sequence[int]) -> Combination:
        """A row in words, the fixed levels with it."""
        (varied,) = self.plan.tiles_of([row])
        return {factor: varied.get(factor, self.fixed.get(factor, "")) for factor in self.levels}


def implied(levels: Mapping[str, Sequence[str]], own_lots: Mapping[str, Collection[str]]) -> list[Rule]:
    """What nobody needs to say: no glaze over or under itself, a lot only of its own glaze."""
    found = [
        Rule({"glaze": frozenset({glaze}), other: frozenset({glaze})})
        for other in ("under", "over")
        for glaze in levels.get("glaze", ())
        if glaze in levels.get(other, ())
    ]
    lots = [lot for lot in levels.get("lot", ()) if lot != NONE]
    for glaze in levels.get("glaze", ()) if lots else ():
        own = own_lots.get(glaze, ())
        foreign = {lot for lot in lots if lot not in own}
        if len(foreign) < len(lots) and NONE in levels["lot"]:
            foreign.add(NONE)
        if foreign:
            found.append(Rule({"glaze": frozenset({glaze}), "lot": frozenset(foreign)}))
    return found


def tile_list(
    sketch: Sketch,
    *,
    room: Mapping[str, int],
    existing: Sequence[Combination] = (),
    own_lots: Mapping[str, Collection[str]] | None = None,
) -> TileList:
    """The tiles a plan asks for.

    Parameters
    ----------
    room : for each form how many zones take combinations
    existing : combinations that are there, a level for each factor of the plan; those with other levels do not count
    own_lots : the lots of each glaze

    Raises
    ------
    ImpossiblePlan : too large, or the rules leave nothing
    """
    drawing = Drawing(sketch, own_lots or {})
    plan = drawing.plan
    there = [(place, row) for place, one in enumerate(existing) if (row := drawing.row_of(one)) is not None]
    if not plan.factors:
        return _single(drawing, there)
    rows_there = list(dict.fromkeys(row for _, row in there))
    if sketch.way == "all":
        tiles, fewest, way = _every_one(drawing, room, rows_there), 0, "all combinations"
    else:
        tiles, fewest, way = *_covering(drawing, room, rows_there), "covering set"
    if len(tiles) > MOST_TILES:
        raise ImpossiblePlan(
            f"That is {len(tiles)} tiles; a plan holds {MOST_TILES}. Take fewer levels or a smaller set."
        )
    return _told(drawing, tiles, there, way, fewest)


def _single(drawing: Drawing, there: Sequence[tuple[int, Row]]) -> TileList:
    """A plan that varies nothing: one tile, or none where it exists."""
    only = {factor: drawing.fixed[factor] for factor in drawing.levels}
    tiles = () if there else (PlannedTile((only,), 1.0),)
    counted = tuple(place for place, _ in there)
    return TileList(tiles, 0, 1.0 if there else 0.0, counted, 1, 1, "one tile", True, (1.0,) * len(tiles))


class Bands:
    """Which factors lie side by side on a tile, and how many combinations the tile of a row takes."""

    def __init__(self, drawing: Drawing, room: Mapping[str, int]) -> None:
        factors, self.counts, self.never = drawing.plan.factors, drawing.plan.level_counts, drawing.never
        side = set(drawing.sketch.side_by_side) - set(OF_THE_TILE)
        self.kept = [place for place, factor in enumerate(factors) if factor.name not in side]
        forms = drawing.levels.get("form", ("",))
        self.rooms = [room.get(form, 1) if side else 1 for form in forms]
        self.form_at = next((place for place, factor in enumerate(factors) if factor.name == "form"), None)

    def part(self, row: Sequence[int]) -> Row:
        """What the combinations of one tile agree in."""
        return tuple(row[place] for place in self.kept)

    def room(self, row: Sequence[int]) -> int:
        return self.rooms[row[self.form_at] if self.form_at is not None else 0]

    def packed(self, rows: Iterable[Row]) -> list[tuple[Row, ...]]:
        return packed(sorted(rows), self.part, self.room)

    def siblings(self, part: Sequence[int]) -> list[Row]:
        """All rows of that part which the rules allow."""
        ranges: list[Iterable[int]] = [range(count) for count in self.counts]
        for place, level in zip(self.kept, part, strict=True):
            ranges[place] = (level,)
        return [row for row in product(*ranges) if not breaks(row, self.never)]


def _every_one(drawing: Drawing, room: Mapping[str, int], there: Sequence[Row]) -> list[tuple[Row, ...]]:
    rows = all_combinations(drawing.plan.level_counts, never=drawing.never)
    if not rows:
        raise ImpossiblePlan("These rules leave no tile to make; take one away.")
    made = set(there)
    return Bands(drawing, room).packed(row for row in rows if row not in made)


def _covering(
    drawing: Drawing, room: Mapping[str, int], there: Sequence[Row]
) -> tuple[list[tuple[Row, ...]], int]:
    """Few tiles that show all that is to meet, and how many it takes at least."""
    bands, counts = Bands(drawing, room), drawing.plan.level_counts
    strength = min(drawing.sketch.strength, len(counts))
    if len(bands.kept) == len(counts):
        whole = covering_set(counts, strength, never=drawing.never, existing=there)
        return bands.packed(whole.rows), whole.fewest
    if not extends([None] * len(counts), counts, drawing.never):
        raise ImpossiblePlan("These rules leave no tile to make; take one away.")
    coverage = Coverage(counts, strength, drawing.never)
    coverage.leave_out(there)
    parts, fewest = _parts(drawing, bands, strength, there)
    fewest = max(fewest, -(-coverage.fewest // max(bands.rooms)))
    banded = _banded(bands, parts, coverage, there)
    if len(banded) <= max(fewest, len(parts)):
        return banded, fewest
    whole = covering_set(counts, strength, never=drawing.never, existing=there)
    return min(banded, _without_idle(bands.packed(whole.rows), coverage), key=len), fewest


def _parts(drawing: Drawing, bands: Bands, strength: int, there: Sequence[Row]) -> tuple[list[Row], int]:
    """What covers the factors that do not lie side by side."""
    if not bands.kept:
        return [()], 1
    place_of = {factor: place for place, factor in enumerate(bands.kept)}
    never = [
        tuple((place_of[factor], level) for factor, level in one)
        for one in drawing.never
        if all(factor in place_of for factor, _ in one)
    ]
    found = covering_set(
        [bands.counts[place] for place in bands.kept],
        min(strength, len(bands.kept)),
        never=never,
        existing=[bands.part(row) for row in there],
    )
    return list(found.rows), found.fewest


def _banded(
    bands: Bands, parts: Sequence[Row], coverage: Coverage, there: Sequence[Row]
) -> list[tuple[Row, ...]]:
    """A tile for each part, its bands given to what shows most; then more until all is shown."""
    missing, used = coverage.missing(()), Counter[int]()
    tiles = [tile for part in parts if (tile := _filled(bands, part, coverage, missing, used))]
    while missing:
        made = [row for tile in tiles for row in tile]
        rest = covering_set(bands.counts, coverage.strength, never=coverage.never, existing=[*there, *made])
        tiles += [
            tile
            for row in rest.rows
            if missing.intersection(coverage.shown_by(row))
            and (tile := _filled(bands, bands.part(row), coverage, missing, used))
        ]
    return _without_idle(tiles, coverage)


def _filled(
    bands: Bands, part: Row, coverage: Coverage, missing: set[int], used: Counter[int]
) -> tuple[Row, ...]:
    """The tile of a part: as many of its rows as it has bands, each showing most of what is missing."""
    open_rows = bands.siblings(part)
    taken: list[Row] = []
    while open_rows and len(taken) < bands.room(open_rows[0]):
        row = max(open_rows, key=lambda row: _worth(coverage.shown_by(row), missing, used))
        open_rows.remove(row)
        taken.append(row)
        shown = coverage.shown_by(row)
        missing.difference_update(shown)
        used.update(shown)
    return tuple(sorted(taken))


def _worth(shown: Sequence[int], missing: set[int], used: Counter[int]) -> tuple[int, int]:
    """How much a row shows that is missing; where that is even, the row whose meetings are the rarest so far."""
    return len(missing.intersection(shown)), -sum(used[number] for number in shown)


def _without_idle(tiles: Sequence[tuple[Row, ...]], coverage: Coverage) -> list[tuple[Row, ...]]:
    """The tiles without those that show nothing others don't, looked at from the last."""
    shows = [{number for row in tile for number in coverage.shown_by(row)} for tile in tiles]
    times = Counter(number for shown in shows for number in shown)
    kept = []
    for tile, shown in reversed(list(zip(tiles, shows, strict=True))):
        if all(times[number] > 1 or not coverage.needed[number] for number in shown):
            times.subtract(shown)
        else:
            kept.append(tile)
    return kept[::-1]


def _told(
    drawing: Drawing,
    tiles: Sequence[tuple[Row, ...]],
    there: Sequence[tuple[int, Row]],
    way: str,
    fewest: int,
) -> TileList:
    plan, sketch = drawing.plan, drawing.sketch
    coverage = Coverage(plan.level_counts, min(sketch.strength, len(plan.factors)), drawing.never)
    possible = sum(coverage.needed)
    coverage.leave_out(dict.fromkeys(row for _, row in there))
    left = sum(coverage.needed)
    ordered = most_telling(tiles, coverage)
    curve = tuple(1 - after / possible if possible else 1.0 for _, after in ordered)
    listed = [
        PlannedTile(tuple(map(drawing.whole, tiles[place])), share)
        for (place, _), share in zip(ordered, curve, strict=True)
    ]
    kept = listed[: sketch.most] if sketch.most is not None else listed
    return TileList(
        tuple(kept),
        len(listed) - len(kept),
        1 - left / possible if possible else 1.0,
        tuple(place for place, _ in there),
        possible,
        len(listed),
        way,
        sketch.way == "all" or len(listed) <= fewest,
        curve,
    )


def most_telling(tiles: Sequence[Sequence[Row]], coverage: Coverage) -> list[tuple[int, int]]:
    """Tiles so ordered that each shows most of what those before it left: (which, how much is left after it).

    What a tile adds never grows, so that the best of the old reckonings is looked at anew until it still is the best.

    >>> coverage = Coverage((2, 2), 2, ())
    >>> most_telling([[(0, 0)], [(0, 0), (0, 1)], [(1, 0), (1, 1)]], coverage)
    [(1, 2), (2, 0), (0, 0)]
    """
    shows = [{number for row in tile for number in coverage.shown_by(row)} for tile in tiles]
    missing = coverage.missing(())
    waiting = [(-len(shown & missing), place) for place, shown in enumerate(shows)]
    heapq.heapify(waiting)
    ordered = []
    while waiting:
        _, place = heapq.heappop(waiting)
        now = -len(shows[place] & missing)
        if waiting and (now, place) > waiting[0]:
            heapq.heappush(waiting, (now, place))
            continue
        missing -= shows[place]
        ordered.append((place, len(missing)))
    return ordered
