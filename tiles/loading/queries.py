"""What is in a firing, and what could go in; a constant number of queries however many tiles."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Case, Count, Exists, F, OuterRef, QuerySet, When

from firings.models import Firing, Kiln, Shelf
from firings.vocabulary import FiringState, Purpose
from tiles.loading.shelves import Footprint, ShelfPlan, lay_out, stands_on
from tiles.loading.typed import TypedNumbers
from tiles.loading.warnings import FireFacts, GlazeFacts, LoadWarning, TileFacts, warnings_of
from tiles.models import Layer, Placement, Series, StackedLayer, Tile
from tiles.vocabulary import GlazeKind

# A list of waiting tiles longer than this is cut, and says so; the rest is reached by number or series.
LISTED = 150


@dataclass(frozen=True, slots=True)
class ShelfLoad:
    """One shelf and what stands on it; `shelf` is None for tiles whose shelf is not noted."""

    shelf: Shelf | None
    placements: list[Placement]
    plan: ShelfPlan | None


@dataclass(frozen=True, slots=True)
class Load:
    """A firing's tiles by shelf, top shelf first, and what about them contradicts what the studio knows."""

    shelves: list[ShelfLoad] = field(default_factory=list)
    bisqued: list[Tile] = field(default_factory=list)
    warnings: list[LoadWarning] = field(default_factory=list)

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
    facts = {
        placement.pk: tile_facts
        for placement, tile_facts in zip(placements, _facts_of(placements, lowest), strict=True)
    }
    found = warnings_of(fire_facts(firing), list(facts.values()))
    warned = {label for warning in found for label in warning.tiles}
    return Load(_by_shelf(placements, shelves, warned), [], found)


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
    return FireFacts(firing.purpose, firing.reached_order or firing.target_order, firing.hold_min)


def _facts_of(placements: Sequence[Placement], lowest: int | None) -> list[TileFacts]:
    stacks = _stacks(placements)
    others = _other_loads(placements)
    return [
        _tile_facts(placement, stacks[placement.pk], others.get(placement.tile_id, ""), lowest)
        for placement in placements
    ]


def _stacks(placements: Sequence[Placement]) -> dict[int, list[StackedLayer]]:
    stacks: dict[int, list[StackedLayer]] = defaultdict(list)
    rows = StackedLayer.objects.filter(outcome__placement__in=placements).select_related("glaze", "outcome")
    for row in rows:
        stacks[row.outcome.placement_id].append(row)
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
    placement: Placement, stack: Sequence[StackedLayer], also_in: str, lowest: int | None
) -> TileFacts:
    tile, shelf = placement.tile, placement.shelf
    glazes = {row.glaze_id: row.glaze for row in stack}
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
        stands_mm=tile.form.height_mm if tile.form.upright else tile.form.thickness_mm,
        room_mm=shelf.height_mm if shelf else None,
        also_in=also_in,
    )


def _glaze(glaze: Any) -> GlazeFacts:
    return GlazeFacts(glaze.name, glaze.known_runner, glaze.cone_low_order, glaze.cone_high_order)


def _by_shelf(placements: Sequence[Placement], shelves: Sequence[Shelf], warned: set[str]) -> list[ShelfLoad]:
    standing: dict[int | None, list[Placement]] = defaultdict(list)
    for placement in placements:
        standing[placement.shelf_id].append(placement)
    rows = [
        ShelfLoad(shelf, standing[shelf.pk], _plan(shelf, standing[shelf.pk], warned)) for shelf in shelves
    ]
    return [*rows, ShelfLoad(None, standing[None], None)] if standing[None] else rows


def _plan(shelf: Shelf, placements: Iterable[Placement], warned: set[str]) -> ShelfPlan:
    return lay_out(
        shelf.width_mm, shelf.depth_mm, [_footprint(placement, warned) for placement in placements]
    )


def _footprint(placement: Placement, warned: set[str]) -> Footprint:
    form, label = placement.tile.form, placement.tile.label
    width, depth = stands_on(form.width_mm, form.height_mm, form.thickness_mm, upright=form.upright)
    return Footprint(label, width, depth, placement.place, placement.on_cookie, label in warned)


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
    waiting = could_go_in(firing)
    planned_here = Case(When(planned_order=firing.target_order or 0, then=0), default=1)
    rows = waiting.select_related("body", "form", "series").prefetch_related("layers__glaze")
    listed = list(rows.order_by(planned_here, "number")[:LISTED])
    planned = [tile for tile in listed if tile.planned_order == (firing.target_order or 0)]
    others = [tile for tile in listed if tile not in planned]
    series = Series.objects.filter(tiles__in=waiting).annotate(waiting=Count("tiles")).order_by("name")
    return Waiting(planned, others, waiting.count(), list(series))


def could_go_in(firing: Firing) -> QuerySet[Tile]:
    """Tiles waiting for such a firing: unfired ones, and those that were glazed again for a refiring."""
    if firing.purpose == Purpose.BISQUE.value:
        return Tile.objects.filter(bisque_firing__isnull=True, placements__isnull=True)
    fired_since = Placement.objects.filter(tile=OuterRef("tile"), sequence__gt=OuterRef("after_firings"))
    unfired_layers = Layer.objects.filter(~Exists(fired_since), tile=OuterRef("pk"))
    return Tile.objects.filter(Exists(unfired_layers)).exclude(placements__firing=firing)


def waiting_of_series(firing: Firing, series_id: int) -> list[int]:
    """The waiting tiles of one series, by key."""
    return list(could_go_in(firing).filter(series=series_id).values_list("pk", flat=True))


def tiles_typed(typed: TypedNumbers) -> tuple[list[int], list[str]]:
    """The keys of tiles by their typed numbers, and what is wrong with the rest, in words."""
    known = dict(Tile.objects.filter(number__in=typed.numbers).values_list("number", "pk"))
    unknown = [number for number in typed.numbers if number not in known]
    lost = [f"{Tile(number=number).label} is not in the log, or is in the bin." for number in unknown]
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
