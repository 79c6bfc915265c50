"""What is in a firing, and what could go in; a constant number of queries however many tiles."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, NamedTuple

from django.db.models import Count, F, Max, QuerySet

from firings.cones import series as cones
from firings.models import Firing, Kiln, Shelf, WitnessCone
from firings.vocabulary import FiringState, Purpose, ShelfShape
from tiles.loading.packing import PACK_DEPTH_MM, PACK_HEIGHT_MM, Piece, Room, pack_width_mm
from tiles.loading.shelves import Seen, ShelfPlan, lay_out, room_of, stands_on
from tiles.loading.typed import TypedNumbers
from tiles.loading.warnings import (
    FireFacts,
    GlazeFacts,
    LoadWarning,
    TileFacts,
    cone_words,
    of_the_cone,
    tile_words,
    warnings_of,
)
from tiles.models import Glaze, Placement, Series, StackedLayer, Tile
from tiles.vocabulary import GlazeKind

# A list of waiting tiles longer than this is cut, and says so; the rest is reached by number or series.
LISTED = 150


@dataclass(frozen=True, slots=True)
class ConePack:
    """Witness cones that stand together in one wad of clay."""

    cones: tuple[WitnessCone, ...]

    @property
    def shelf_id(self) -> int | None:
        return self.cones[0].shelf_id

    @property
    def place(self) -> str:
        return self.cones[0].place

    @property
    def words(self) -> str:
        """The cones by name, coolest first."""
        names = [cones.label_of(cone.order) for cone in self.cones]
        return f"cone{'s' if len(names) > 1 else ''} {', '.join(names)}"

    @property
    def piece(self) -> Piece:
        """It as packing sees it; its key is below nought, so that no tile shares it."""
        width = pack_width_mm(len(self.cones))
        return Piece(-self.cones[0].pk, width, PACK_DEPTH_MM, PACK_HEIGHT_MM)

    def seen(self, marks: dict[int, int]) -> Seen:
        """It as drawn."""
        first = self.cones[0]
        keys = "-".join(str(cone.pk) for cone in self.cones)
        mark = max((marks.get(cone.pk, 0) for cone in self.cones), default=0)
        place = first.place or "front"
        return Seen(f"c{keys}", self.words, self.piece, place, first.x_mm, first.y_mm, mark, is_cones=True)


@dataclass(frozen=True, slots=True)
class ShelfLoad:
    """One shelf and what stands on it; `shelf` is None for tiles whose shelf is not noted."""

    shelf: Shelf | None
    placements: list[Placement]
    cones: list[ConePack] = field(default_factory=list)


@dataclass(frozen=True)
class Load:
    """A firing's tiles by shelf, top shelf first, and what about them contradicts what the studio knows."""

    shelves: list[ShelfLoad] = field(default_factory=list)
    bisqued: list[Tile] = field(default_factory=list)
    warnings: list[LoadWarning] = field(default_factory=list)

    @cached_property
    def meant(self) -> dict[str, str]:
        """What those tiles were meant for that may be in the wrong firing, by number."""
        return cone_words(self.warnings)

    @property
    def count(self) -> int:
        return len(self.bisqued) + sum(len(shelf.placements) for shelf in self.shelves)


def load_of(firing: Firing) -> Load:
    """All that is in a firing."""
    if firing.purpose == Purpose.BISQUE.value:
        return _bisque_load(firing)
    placements = list(Placement.objects.filter(firing=firing, tile__binned_at__isnull=True).by_shelf())
    shelves = list(firing.kiln.shelves.order_by("-position"))
    lowest = min((shelf.position for shelf in shelves), default=None)
    found = warnings_of(fire_facts(firing), facts_of(placements, lowest))
    return Load(_by_shelf(placements, shelves, cone_packs(firing)), [], found)


def amiss_in(firing: Firing, tile_ids: Iterable[int]) -> list[str]:
    """Why these tiles may be in the wrong firing, in few words; empty where nothing speaks against it."""
    placements = Placement.objects.filter(firing=firing, tile__in=tile_ids).by_shelf()
    found = warnings_of(fire_facts(firing), facts_of(list(placements), None))
    return [f"{tile_words(warning.tiles)} ({warning.brief})" for warning in of_the_cone(found)]


def _bisque_load(firing: Firing) -> Load:
    tiles = list(Tile.objects.filter(bisque_firing=firing).for_lists().with_layers().order_by("number"))
    facts = [
        TileFacts(
            tile.label, tile.body.name, glazes=tuple(_glaze(layer.glaze) for layer in tile.layers.all())
        )
        for tile in tiles
    ]
    return Load([], tiles, warnings_of(fire_facts(firing), facts))


def fire_facts(firing: Firing) -> FireFacts:
    """A firing as far as warnings go."""
    return FireFacts(
        firing.purpose, firing.reached_order or firing.target_order, firing.hold_min, firing.target_order
    )


def facts_of(placements: Sequence[Placement], lowest: int | None) -> list[TileFacts]:
    """What warnings ask of each tile in a load; `lowest` is the position of the bottom shelf."""
    stacks = _stacks(placements)
    others = _other_loads(placements)
    return [
        _tile_facts(placement, stacks[placement.pk], others.get(placement.tile_id, ""), lowest)
        for placement in placements
    ]


class Stacked(NamedTuple):
    """A glaze on some zone of a placement, and whether it is the top one there."""

    glaze: Glaze
    is_top: bool


def _stacks(placements: Sequence[Placement]) -> dict[int, list[Stacked]]:
    """What lies on each placement's tile; each glaze is read once, however many zones it lies on."""
    rows = StackedLayer.objects.filter(outcome__placement__in=placements)
    laid = list(rows.values_list("outcome__placement", "glaze", "is_top"))
    glazes = Glaze.everything.in_bulk({glaze for _, glaze, _ in laid})
    stacks: dict[int, list[Stacked]] = defaultdict(list)
    for placement, glaze, is_top in laid:
        stacks[placement].append(Stacked(glazes[glaze], is_top))
    return stacks


def _other_loads(placements: Sequence[Placement]) -> dict[int, str]:
    """Which other firing, not fired yet, holds a tile too."""
    if not placements:
        return {}
    unfired = [FiringState.PLANNED.value, FiringState.LOADED.value]
    here = placements[0].firing_id
    rows = Placement.objects.filter(
        tile__in=[placement.tile_id for placement in placements],
        firing__state__in=unfired,
        firing__binned_at__isnull=True,
    ).exclude(firing=here)
    return {row.tile_id: row.firing.label for row in rows.select_related("firing")}


def _tile_facts(
    placement: Placement, stack: Sequence[Stacked], also_in: str, lowest: int | None
) -> TileFacts:
    tile, shelf = placement.tile, placement.shelf
    glazes = {row.glaze.pk: row.glaze for row in stack}
    return TileFacts(
        label=tile.label,
        body=tile.body.name,
        body_hold_min=tile.body.default_hold_min,
        body_high_order=tile.body.cone_high_order,
        glazes=tuple(_glaze(glaze) for glaze in glazes.values()),
        flux_under=any(row.glaze.kind == GlazeKind.FLUX.value and not row.is_top for row in stack),
        is_bisqued=tile.bisque_firing_id is not None or placement.sequence > 1,
        on_cookie=placement.on_cookie,
        is_lowest=shelf is not None and shelf.position == lowest,
        stands_mm=piece_of(placement, runs=placement.on_cookie).takes_mm[2],
        room_mm=shelf.height_mm if shelf else None,
        also_in=also_in,
        planned_order=tile.planned_order if placement.sequence == 1 else None,
    )


def _glaze(glaze: Any) -> GlazeFacts:
    return GlazeFacts(glaze.name, glaze.known_runner, glaze.cone_low_order, glaze.cone_high_order)


def _by_shelf(
    placements: Sequence[Placement], shelves: Sequence[Shelf], packs: Sequence[ConePack]
) -> list[ShelfLoad]:
    standing: dict[int | None, list[Placement]] = defaultdict(list)
    for placement in placements:
        standing[placement.shelf_id].append(placement)
    beside: dict[int | None, list[ConePack]] = defaultdict(list)
    for pack in packs:
        beside[pack.shelf_id].append(pack)
    rows = [ShelfLoad(shelf, standing[shelf.pk], beside[shelf.pk]) for shelf in shelves]
    loose = ShelfLoad(None, standing[None], beside[None])
    return [*rows, loose] if loose.placements or loose.cones else rows


def drawn(load: Load) -> dict[int, ShelfPlan]:
    """Each shelf of a load from above, by the shelf's key."""
    placements = [placement for row in load.shelves for placement in row.placements]
    marks = _marks(Placement.history, [placement.pk for placement in placements])
    cone_ids = [cone.pk for row in load.shelves for pack in row.cones for cone in pack.cones]
    cone_marks = _marks(WitnessCone.history, cone_ids)
    warned = {label for warning in load.warnings for label in warning.tiles}
    plans = {}
    for row in load.shelves:
        if row.shelf:
            seen = [
                *(pack.seen(cone_marks) for pack in row.cones),
                *(_seen(placement, marks, warned) for placement in row.placements),
            ]
            shelf = row.shelf
            plans[shelf.pk] = lay_out(
                room_for(shelf), seen, is_measured=bool(shelf.width_mm and shelf.depth_mm)
            )
    return plans


def movable(load: Load, plans: dict[int, ShelfPlan]) -> list[tuple[str, str]]:
    """What can be moved, for a list: the piece with the mark of its state, and its words."""
    drawn_pieces = {spot.seen.key: spot.seen for plan in plans.values() for spot in plan.spots}
    loose = [placement for row in load.shelves for placement in row.placements]
    missing = [placement for placement in loose if f"t{placement.pk}" not in drawn_pieces]
    marks = _marks(Placement.history, [placement.pk for placement in missing])
    others = [(f"t{row.pk}.{marks.get(row.pk, 0)}", row.tile.label) for row in missing]
    return sorted(
        [*((f"{one.key}.{one.mark}", one.label) for one in drawn_pieces.values()), *others],
        key=lambda pair: pair[1],
    )


def room_for(shelf: Shelf) -> Room:
    """A shelf as packing sees it."""
    return room_of(
        shelf.position,
        shelf.width_mm,
        shelf.depth_mm,
        shelf.height_mm,
        is_round=shelf.shape == ShelfShape.ROUND.value,
    )


def _marks(history: Any, keys: Sequence[int]) -> dict[int, int]:
    """The last change of each record, by its key: who moves it says which state was seen."""
    rows = history.filter(id__in=keys).values_list("id").annotate(last=Max("history_id")).order_by()
    return dict(rows)


def mark_of(history: Any, keys: Sequence[int]) -> int:
    """The last change of these records together, nought where none was written down."""
    return max(_marks(history, keys).values(), default=0)


def _seen(placement: Placement, marks: dict[int, int], warned: set[str]) -> Seen:
    return Seen(
        f"t{placement.pk}",
        placement.tile.label,
        piece_of(placement, runs=placement.on_cookie),
        placement.place,
        placement.x_mm,
        placement.y_mm,
        marks.get(placement.pk, 0),
        placement.tile.label in warned,
    )


def piece_of(placement: Placement, *, runs: bool) -> Piece:
    """A tile as packing sees it: bound to a shelf that a person chose."""
    form = placement.tile.form
    width, depth, height = stands_on(form.width_mm, form.height_mm, form.thickness_mm, upright=form.upright)
    shelf = placement.shelf.position if placement.shelf and not placement.proposed else None
    return Piece(placement.pk, width, depth, height, runs, shelf, shelf is not None)


def cone_packs(firing: Firing) -> list[ConePack]:
    """The firing's witness cones as they stand together: by shelf, place and spot."""
    together: dict[tuple[Any, ...], list[WitnessCone]] = defaultdict(list)
    for cone in firing.witness_cones.select_related("shelf").order_by("order", "pk"):
        together[cone.shelf_id, cone.place, cone.x_mm, cone.y_mm].append(cone)
    return [ConePack(tuple(standing)) for standing in together.values()]


@dataclass(frozen=True, slots=True)
class Waiting:
    """Tiles that could go into a firing: those planned for its cone first."""

    planned: list[Tile]
    others: list[Tile]
    total: int
    series: list[Series]

    @property
    def unlisted(self) -> int:
        return self.total - len(self.planned) - len(self.others)


def waiting_for(firing: Firing) -> Waiting:
    """Tiles that no firing has had since they were glazed (or made, for a bisque firing)."""
    target = firing.target_order or 0
    waiting = could_go_in(firing).order_by("number").values_list("pk", "planned_order", "series")
    rows = sorted(waiting, key=lambda row: row[1] != target)
    tiles = Tile.objects.select_related("body", "form", "series").prefetch_related("layers__glaze")
    listed = tiles.in_bulk([pk for pk, _, _ in rows[:LISTED]])
    planned = [listed[pk] for pk, order, _ in rows[:LISTED] if order == target]
    others = [listed[pk] for pk, order, _ in rows[:LISTED] if order != target]
    return Waiting(planned, others, len(rows), _series_of(Counter(series for *_, series in rows)))


def _series_of(counts: Counter[int]) -> list[Series]:
    """Series by name, each with `waiting`: how many of its tiles wait."""
    found = list(Series.objects.filter(pk__in=[pk for pk in counts if pk is not None]).order_by("name"))
    for series in found:
        series.waiting = counts[series.pk]
    return found


def could_go_in(firing: Firing) -> QuerySet[Tile]:
    """Tiles waiting for such a firing: unfired ones, and those that were glazed again for a refiring."""
    if firing.purpose == Purpose.BISQUE.value:
        return Tile.objects.unplaced().filter(bisque_firing__isnull=True)
    return Tile.objects.with_unfired_layers().exclude(placements__firing=firing)


def waiting_of_series(firing: Firing, series_id: int) -> list[int]:
    """The waiting tiles of one series, by key."""
    return list(could_go_in(firing).filter(series=series_id).values_list("pk", flat=True))


def tiles_typed(typed: TypedNumbers) -> tuple[list[int], list[str]]:
    """The keys of tiles by their typed numbers, and what is wrong with the rest, in words."""
    known = dict(Tile.objects.filter(number__in=typed.numbers).values_list("number", "pk"))
    unknown = [number for number in typed.numbers if number not in known]
    lost = [f"{Tile(number=number).label} is not in the logbook, or is in the bin." for number in unknown]
    return list(known.values()), [*typed.troubles, *lost]


def tile_counts(firings: Iterable[Firing]) -> dict[int, int]:
    """How many tiles each firing holds, by its key."""
    ids = [firing.pk for firing in firings]
    counts = dict(
        Placement.objects.filter(firing__in=ids, tile__binned_at__isnull=True)
        .values_list("firing")
        .annotate(tiles=Count("pk"))
        .order_by()
    )
    bisqued = (
        Tile.objects.filter(bisque_firing__in=ids).values_list("bisque_firing").annotate(tiles=Count("pk"))
    )
    for firing_id, tiles in bisqued.order_by():
        counts[firing_id] = counts.get(firing_id, 0) + tiles
    return counts


def shelves_of(kiln: Kiln) -> QuerySet[Shelf]:
    """A kiln's shelves, top first, as one loads and unloads."""
    return kiln.shelves.order_by(F("position").desc())
