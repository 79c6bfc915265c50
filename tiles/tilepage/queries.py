"""What the list of tiles and a tile's page show, each in a number of queries that does not grow."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain

from django.core.paginator import Page, Paginator
from django.db.models import Case, Count, Exists, F, OuterRef, QuerySet, Value, When
from django.db.models.functions import Abs
from django.http import QueryDict

from firings.models import Firing
from firings.vocabulary import FIRED, FiringState
from tiles import numbers
from tiles.models import Layer, Outcome, Photo, PhotoFiling, Placement, Tile
from tiles.recording.queries import for_drawing
from tiles.tilepage.filters import TileFilter
from tiles.tilepage.state import TileState
from tiles.tray.parts.queries import PhotoPart, shown_of

TILES_A_PAGE = 60
SIBLINGS_IN_VIEW = 8
OPEN_FIRINGS_IN_VIEW = 4


def with_state(tiles: QuerySet[Tile]) -> QuerySet[Tile]:
    """Tiles with `state`, a TileState."""
    placements = Placement.objects.filter(tile=OuterRef("pk"), firing__binned_at__isnull=True)
    unjudged = Outcome.objects.fired().filter(tile=OuterRef("pk"), judged_at__isnull=True)
    in_kiln = placements.exclude(firing__state__in=FIRED)
    fired = placements.filter(firing__state__in=FIRED)
    layers = Layer.objects.filter(tile=OuterRef("pk"))
    return tiles.annotate(
        state=Case(
            When(Exists(in_kiln), then=Value(TileState.LOADED.value)),
            When(Exists(fired) & Exists(unjudged), then=Value(TileState.FIRED.value)),
            When(Exists(fired), then=Value(TileState.JUDGED.value)),
            When(Exists(layers), then=Value(TileState.GLAZED.value)),
            default=Value(TileState.MADE.value),
        )
    )


@dataclass(frozen=True, slots=True)
class ListedTile:
    """A tile as a list shows it."""

    tile: Tile
    photo: Photo | PhotoPart | None
    glazes: str
    state: str
    state_label: str


@dataclass(frozen=True, slots=True)
class TileList:
    """One page of the list of tiles, and how many there are in each state."""

    asked: TileFilter
    page: Page
    tiles: list[ListedTile]
    states: list[tuple[str, str, int]]

    @property
    def is_filtered(self) -> bool:
        return any(self.asked.form.cleaned_data.values()) if self.asked.form.is_valid() else True


def tile_list(data: QueryDict) -> TileList:
    """The tiles that were asked for, newest first."""
    everything = with_state(Tile.objects.all())
    asked = TileFilter(data, everything)
    found = asked.qs.order_by("-number").for_lists().prefetch_related("layers__glaze")
    states = counted_by_state(data, everything)
    state = asked.form.cleaned_data.get("state")
    pages = CountedPages(found, sum(number for value, _, number in states if state in ("", None, value)))
    page = pages.get_page(data.get("page", "1"))
    return TileList(asked, page, listed(list(page)), states)


class CountedPages(Paginator):
    """Pages of tiles that were counted already: the state of each is not worked out again to count them."""

    def __init__(self, found: QuerySet[Tile], count: int) -> None:
        super().__init__(found, TILES_A_PAGE)
        self.count = count


def counted_by_state(data: QueryDict, tiles: QuerySet[Tile]) -> list[tuple[str, str, int]]:
    """For each state its value, words and how many tiles are in it, with the other filters applied."""
    others = data.copy()
    others.pop("state", None)
    found = TileFilter(others, tiles).qs.order_by()
    # Told by the few firings that are not fired or in the bin: SQLite then need not look at the firing of each place.
    not_fired = Firing.everything.exclude(state__in=FIRED, binned_at__isnull=True).order_by().values("pk")
    fired = Exists(Placement.objects.filter(tile=OuterRef("pk")).exclude(firing__in=not_fired))
    open_firings = Firing.objects.exclude(state__in=FIRED).order_by().values("pk")
    loaded = Placement.objects.filter(firing__in=open_firings).order_by().values("tile")
    unjudged = (
        Outcome.objects.fired()
        .filter(judged_at__isnull=True, firing__in=Firing.everything.order_by().values("pk"))
        .order_by()
        .values("tile")
    )
    # All but few tiles are fired and judged. The state is worked out of the few others alone; a third of the time.
    unfired = found.filter(~fired).values("state").annotate(number=Count("pk"))
    counts = Counter({row["state"]: row["number"] for row in unfired})
    counts[TileState.LOADED.value] += found.filter(fired, pk__in=loaded).count()
    to_judge = found.filter(fired, pk__in=unjudged)
    counts[TileState.FIRED.value] = to_judge.exclude(pk__in=loaded).count()
    counts[TileState.JUDGED.value] = found.count() - counts.total()
    return [(state.value, state.label, counts[state.value]) for state in TileState]


def listed(tiles: Sequence[Tile]) -> list[ListedTile]:
    """Tiles that come from `with_state` with their layers, each with its newest photo; one query."""
    photos = newest_photos(tile.pk for tile in tiles)
    return [
        ListedTile(
            tile,
            photos.get(tile.pk),
            " + ".join(dict.fromkeys(layer.glaze.name for layer in tile.layers.all())),
            tile.state,  # type: ignore[attr-defined]
            TileState.label_of(tile.state),  # type: ignore[attr-defined]
        )
        for tile in tiles
    ]


def newest_photos(tile_ids: Iterable[int]) -> dict[int, Photo | PhotoPart]:
    """For each tile, by its key, the photo or part of one filed last; of the whole tile before one of a zone."""
    filings = PhotoFiling.objects.filter(tile__in=list(tile_ids), photo__binned_at__isnull=True)
    by_worth = sorted(
        filings.select_related("photo"), key=lambda filing: (filing.zone_id is None, filing.filed_at)
    )
    return {filing.tile_id: shown_of(filing) for filing in by_worth}


@dataclass(frozen=True, slots=True)
class LaidRow:
    """A layer as a row of the table: what it is, and how much of it lies on each zone, in the zones' order."""

    layer: Layer
    amounts: list[str]


@dataclass(frozen=True, slots=True)
class Fired:
    """One firing of a tile: where it stood, what came out, the photos taken after it."""

    placement: Placement
    outcomes: list[Outcome]
    photos: list[PhotoFiling]

    @property
    def is_fired(self) -> bool:
        return self.placement.firing.state in FIRED

    @property
    def judged_count(self) -> int:
        return sum(outcome.is_judged for outcome in self.outcomes)


@dataclass(frozen=True, slots=True)
class TilePage:
    """Everything about one tile."""

    tile: Tile
    state: str
    state_label: str
    layers: list[LaidRow]
    firings: list[Fired]
    photos: list[PhotoFiling]
    unplaced_photos: list[PhotoFiling]
    siblings: list[ListedTile]
    open_firings: list[Firing]

    @property
    def outcomes(self) -> list[Outcome]:
        """What came out of all firings, the last one first."""
        return [outcome for fired in self.firings for outcome in fired.outcomes]

    @property
    def to_glaze(self) -> bool:
        """Whether layers of it are planned that nobody has put on yet."""
        planned = any(row.layer.after_firings == 0 for row in self.layers)
        return planned and self.tile.glazed_on is None and not self.firings

    @property
    def shown_first(self) -> PhotoFiling | None:
        return self.photos[0] if self.photos else None


def find_tile(label: str) -> Tile | None:
    """The tile of a label, even from the bin, with all its page draws; None where no tile has that number.

    Raises ValueError, in words fit for a page, when the label is no tile number.
    """
    tiles = with_state(Tile.everything.filter(number=numbers.read(label)))
    return for_drawing(tiles).select_related("form", "body", "series", "bisque_firing", "glazed_by").first()


def tile_page(tile: Tile) -> TilePage:
    """What a tile's page shows; `tile` comes from `find_tile`."""
    firings = _firings_of(tile)
    filings = list(chain.from_iterable(fired.photos for fired in firings))
    loose = _loose_photos(tile)
    return TilePage(
        tile=tile,
        state=tile.state,  # type: ignore[attr-defined]
        state_label=TileState.label_of(tile.state),  # type: ignore[attr-defined]
        layers=laid_rows(tile),
        firings=firings,
        photos=[*filings, *loose],
        unplaced_photos=loose,
        siblings=_siblings_of(tile),
        open_firings=_open_firings(tile),
    )


def laid_rows(tile: Tile) -> list[LaidRow]:
    """The layers as they lie, the top one first."""
    zones = [zone.pk for zone in tile.zones.all()]
    rows = []
    for layer in list(tile.layers.all())[::-1]:
        amounts = {coverage.zone_id: str(coverage) for coverage in layer.coverages.all()}
        rows.append(LaidRow(layer, [amounts.get(zone, "") for zone in zones]))
    return rows


def _firings_of(tile: Tile) -> list[Fired]:
    """The tile's firings, the last one first."""
    placements = list(
        Placement.objects.filter(tile=tile, firing__binned_at__isnull=True)
        .select_related("firing__kiln", "shelf")
        .order_by("-sequence")
    )
    outcomes = list(
        Outcome.objects.for_display().filter(tile=tile).select_related("judged_by").order_by("zone__position")
    )
    filings = list(_filings_of(tile).filter(placement__isnull=False))
    return [
        Fired(
            placement,
            [outcome for outcome in outcomes if outcome.placement_id == placement.pk],
            [filing for filing in filings if filing.placement_id == placement.pk],
        )
        for placement in placements
    ]


def _loose_photos(tile: Tile) -> list[PhotoFiling]:
    """Photos of the tile after no known firing."""
    return list(_filings_of(tile).filter(placement__isnull=True))


def _filings_of(tile: Tile) -> QuerySet[PhotoFiling]:
    """Photos of the tile, those of all of it before those of a zone, newest first."""
    return (
        PhotoFiling.objects.filter(tile=tile, photo__binned_at__isnull=True)
        .select_related("photo", "zone")
        .order_by(F("zone__position").asc(nulls_first=True), "-filed_at")
    )


def _siblings_of(tile: Tile) -> list[ListedTile]:
    """Other tiles of the series, those nearest by number first."""
    if tile.series_id is None:
        return []
    others = with_state(Tile.objects.filter(series=tile.series_id).exclude(pk=tile.pk))
    nearest = others.annotate(apart=Abs(F("number") - tile.number)).order_by("apart")
    found = nearest.select_related("body").prefetch_related("layers__glaze")[:SIBLINGS_IN_VIEW]
    return listed(sorted(found, key=lambda other: other.number))


def _open_firings(tile: Tile) -> list[Firing]:
    """Glaze firings that still take tiles, the next one first, without those the tile is in."""
    still_open = Firing.objects.glazing().in_state(FiringState.PLANNED, FiringState.LOADED)
    waiting = still_open.exclude(placements__tile=tile).for_lists().order_by("number")
    return list(waiting[:OPEN_FIRINGS_IN_VIEW])
