"""Which tiles wait for a glaze firing, the kilns and the planned firings that could take them; constant queries."""

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, QuerySet

from firings.models import Firing, Kiln
from firings.vocabulary import FiringState, Purpose
from tiles.loading.packing import Piece
from tiles.loading.queries import room_for
from tiles.loading.shelves import stands_on
from tiles.loading.waiting.grouping import Fire, Group, WaitingTile, grouped, hold_asked, suits
from tiles.models import Layer, Placement, Tile

UNFIRED = (FiringState.PLANNED.value, FiringState.LOADED.value)


@dataclass(frozen=True, slots=True)
class Offer:
    """A kiln that could fire a group, how full it would be, and a planned firing of it that asks for the same."""

    kiln: Kiln
    fills_pct: int
    planned: Firing | None


@dataclass(frozen=True, slots=True)
class WaitingPage:
    """All that waits: each group with the kilns that could fire it, and how many raw tiles wait for bisque."""

    groups: list[tuple[Group, list[Offer]]]
    raw: int
    total: int


def waiting_tiles() -> QuerySet[Tile]:
    """Glazed tiles that no firing has had since, and that are in no load yet."""
    loaded = Placement.objects.filter(
        tile=OuterRef("pk"), firing__state__in=UNFIRED, firing__binned_at__isnull=True
    )
    return Tile.objects.with_unfired_layers().filter(~Exists(loaded)).select_related("form", "body")


def waiting_page() -> WaitingPage:
    """What the page shows."""
    groups = grouped(
        waiting_of(tile) for tile in waiting_tiles().prefetch_related("layers__glaze").order_by("number")
    )
    raw = Tile.objects.unplaced().filter(
        ~Exists(Layer.objects.filter(tile=OuterRef("pk"))), bisque_firing__isnull=True
    )
    kilns = list(Kiln.objects.prefetch_related("shelves"))
    planned = _planned()
    return WaitingPage(
        [(group, _offers(group, kilns, planned)) for group in groups],
        raw.count(),
        sum(group.count for group in groups),
    )


def waiting_of(tile: Tile) -> WaitingTile:
    """A tile as grouping sees it."""
    form = tile.form
    width, depth, height = stands_on(form.width_mm, form.height_mm, form.thickness_mm, upright=form.upright)
    runs = any(layer.glaze.known_runner for layer in tile.layers.all())
    fire = Fire(
        tile.planned_order,
        tile.planned_atmosphere,
        hold_asked(tile.planned_hold_min, tile.body.default_hold_min),
    )
    return WaitingTile(tile.label, fire, Piece(tile.pk, width, depth, height, runs))


def _planned() -> dict[tuple[int, int | None, str, int], Firing]:
    found = Firing.objects.filter(state=FiringState.PLANNED.value, purpose=Purpose.GLAZE.value)
    return {
        (firing.kiln_id, firing.target_order, firing.atmosphere, firing.hold_min): firing
        for firing in found.order_by("-number")
    }


def _offers(
    group: Group, kilns: list[Kiln], planned: dict[tuple[int, int | None, str, int], Firing]
) -> list[Offer]:
    fire = group.fire
    if fire.cone_order is None:
        return []
    offers = []
    for kiln in kilns:
        rooms = [room_for(shelf) for shelf in kiln.shelves.all()]
        if rooms and suits(kiln.kind, fire):
            same = planned.get((kiln.pk, fire.cone_order, fire.fired_in, fire.hold_min))
            offers.append(Offer(kiln, group.fills_pct(rooms), same))
    return offers


def tiles_for(fire: Fire) -> list[int]:
    """The keys of the tiles that wait for one fire."""
    by_fire: dict[Fire, list[int]] = defaultdict(list)
    for tile in waiting_tiles().prefetch_related("layers__glaze"):
        waiting = waiting_of(tile)
        by_fire[waiting.fire].append(tile.pk)
    return by_fire[fire]
