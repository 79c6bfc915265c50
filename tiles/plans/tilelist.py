"""The tile list of a plan: which combinations are made, which share a tile, and what each tile saved costs.

Levels that lie side by side on a tile's bands cost no tile: they are crossed with what covers the other factors, as the
small plots of a split-plot design are. What that leaves out, because a rule forbids it, is added.
"""

import heapq
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product

from tiles.plans.coverage import Coverage, Never, Row, breaks
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
    there = [(place, row) for place, one in enumerate(existing) if (row := _row(drawing, one)) is not None]
    if not plan.factors:
        return _single(drawing, there)
    crossed = _crossed(drawing, room)
    rows, way, is_smallest = _rows(drawing, crossed, [row for _, row in there])
    tiles = _on_tiles(drawing, rows, room)
    if len(tiles) > MOST_TILES:
        raise ImpossiblePlan(
            f"That is {len(tiles)} tiles; a plan holds {MOST_TILES}. Take fewer levels or a smaller set."
        )
    return _told(drawing, tiles, there, way, is_smallest)


def _row(drawing: Drawing, one: Combination) -> Row | None:
    if any(one.get(factor) != level for factor, level in drawing.fixed.items()):
        return None
    return drawing.plan.row_of(one)


def _single(drawing: Drawing, there: Sequence[tuple[int, Row]]) -> TileList:
    """A plan that varies nothing: one tile, or none where it exists."""
    only = {factor: drawing.fixed[factor] for factor in drawing.levels}
    tiles = () if there else (PlannedTile((only,), 1.0),)
    counted = tuple(place for place, _ in there)
    return TileList(tiles, 0, 1.0 if there else 0.0, counted, 1, 1, "one tile", True, (1.0,) * len(tiles))


def _crossed(drawing: Drawing, room: Mapping[str, int]) -> tuple[str, ...]:
    """The factors whose levels fit side by side on every form of the plan together."""
    least, found = min((room.get(form, 1) for form in drawing.levels.get("form", ())), default=1), []
    for factor in drawing.plan.factors:
        if factor.name in drawing.sketch.side_by_side and len(factor.levels) <= least:
            found.append(factor.name)
            least //= len(factor.levels)
    return tuple(found)


def _rows(drawing: Drawing, crossed: Sequence[str], there: list[Row]) -> tuple[list[Row], str, bool]:
    plan, sketch = drawing.plan, drawing.sketch
    if sketch.way == "all":
        made = set(there)
        rows = all_combinations(plan.level_counts, never=drawing.never)
        if not rows:
            raise ImpossiblePlan("These rules leave no tile to make; take one away.")
        return [row for row in rows if row not in made], "all combinations", True
    strength = min(sketch.strength, len(plan.factors))
    kept = [place for place, factor in enumerate(plan.factors) if factor.name not in crossed]
    rows, smallest = _crossed_rows(drawing, kept, strength, there)
    rest = covering_set(plan.level_counts, strength, never=drawing.never, existing=[*there, *rows])
    rows += _with_siblings(drawing, rest.rows, kept)
    others_share = any(
        factor.name in sketch.side_by_side and factor.name not in crossed for factor in plan.factors
    )
    return list(dict.fromkeys(rows)), "covering set", smallest and not rest.rows and not others_share


def _crossed_rows(
    drawing: Drawing, kept: Sequence[int], strength: int, there: Sequence[Row]
) -> tuple[list[Row], bool]:
    """Rows that cover the factors which are not crossed, each with every level of those that are."""
    counts = drawing.plan.level_counts
    if not kept:
        return all_combinations(counts, never=drawing.never), True
    if len(kept) == len(counts):
        found = covering_set(counts, strength, never=drawing.never, existing=there)
        return list(found.rows), found.is_smallest
    place_of = {factor: place for place, factor in enumerate(kept)}
    never = [
        tuple((place_of[factor], level) for factor, level in one)
        for one in drawing.never
        if all(factor in place_of for factor, _ in one)
    ]
    projected = [tuple(row[place] for place in kept) for row in there]
    found = covering_set(
        [counts[place] for place in kept], min(strength, len(kept)), never=never, existing=projected
    )
    whole = [_placed(row, kept, len(counts)) for row in found.rows]
    return _with_siblings(drawing, whole, kept), found.is_smallest


def _placed(row: Sequence[int], kept: Sequence[int], width: int) -> Row:
    placed = [0] * width
    for place, level in zip(kept, row, strict=True):
        placed[place] = level
    return tuple(placed)


def _with_siblings(drawing: Drawing, rows: Iterable[Row], kept: Sequence[int]) -> list[Row]:
    """Each row with every level of the crossed factors that the rules allow."""
    counts = drawing.plan.level_counts
    ranges = [None if place in kept else range(count) for place, count in enumerate(counts)]
    found = []
    for row in rows:
        options = [[level] if every is None else every for level, every in zip(row, ranges, strict=True)]
        found += [one for one in product(*options) if not breaks(one, drawing.never)]
    return found


def _on_tiles(drawing: Drawing, rows: Sequence[Row], room: Mapping[str, int]) -> list[tuple[Row, ...]]:
    """Rows that may share a tile on one tile."""
    side_by_side = drawing.sketch.side_by_side
    apart = [
        place for place, factor in enumerate(drawing.plan.factors) if not _shares(factor.name, side_by_side)
    ]
    form_at = next((p for p, factor in enumerate(drawing.plan.factors) if factor.name == "form"), None)
    forms = drawing.levels.get("form", ("",))

    def zones(row: Row) -> int:
        return room.get(forms[row[form_at] if form_at is not None else 0], 1) if side_by_side else 1

    return packed(sorted(rows), lambda row: tuple(row[place] for place in apart), zones)


def _shares(factor: str, side_by_side: Collection[str]) -> bool:
    return factor in side_by_side and factor not in OF_THE_TILE


def _told(
    drawing: Drawing,
    tiles: Sequence[tuple[Row, ...]],
    there: Sequence[tuple[int, Row]],
    way: str,
    is_smallest: bool,
) -> TileList:
    plan, sketch = drawing.plan, drawing.sketch
    coverage = Coverage(plan.level_counts, min(sketch.strength, len(plan.factors)), drawing.never)
    possible = sum(coverage.needed)
    coverage.leave_out(row for _, row in there)
    left = sum(coverage.needed)
    ordered = most_telling(tiles, coverage)
    if sketch.way != "all":
        ordered = _telling(ordered, left)
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
        is_smallest and not there,
        curve,
    )


def _telling(ordered: Sequence[tuple[int, int]], left: int) -> list[tuple[int, int]]:
    """Those that add something to what those before them show."""
    before = [left, *(after for _, after in ordered)]
    return [one for one, was in zip(ordered, before, strict=False) if one[1] < was]


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
