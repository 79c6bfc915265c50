"""Which tiles wait for glaze, and how far each has come, in a number of queries that does not grow."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Count, Exists, Max, OuterRef, Q, QuerySet
from django.utils import timezone

from firings.units import figure_words
from tiles import numbers
from tiles.glazing.turns import Coat, Job, in_turn
from tiles.models import CoatLaid, Layer, Series, Tile
from tiles.planner.queries import in_sheet_order, spread_of
from tiles.recording.queries import amount_of, clay_of, for_drawing, outline_of_tile
from tiles.recording.section import Faces, LaidLayer, draw_faces
from tiles.vocabulary import Method

# A session of more tiles than this is a season's; the rest comes when these are done.
MOST_TILES = 300


def to_glaze() -> QuerySet[Tile]:
    """Tiles with layers planned that nobody has glazed yet; one that was in a firing is glazed, whatever was noted."""
    first = Layer.objects.filter(tile=OuterRef("pk"), after_firings=0)
    return Tile.objects.unplaced().filter(Exists(first), glazed_on__isnull=True)


def is_to_glaze(tile: Tile) -> bool:
    """Whether it is among `to_glaze()`; asks nothing where `tile` comes from `with_coats()`."""
    return tile.glazed_on is None and not tile.placements.all() and bool(coats_of(tile))


def series_to_glaze() -> QuerySet[Series]:
    """Series with tiles to glaze, each with `waiting_count`."""
    return (
        Series.objects.annotate(
            waiting_count=Count("tiles", filter=Q(tiles__in=to_glaze().order_by().values("pk")))
        )
        .filter(waiting_count__gt=0)
        .order_by("-created_at", "name")
    )


@dataclass(frozen=True, slots=True)
class Chosen:
    """The tiles of a session: of a series, by their numbers, or all that wait. `address` asks for them again."""

    title: str
    address: str
    tiles: tuple[Tile, ...]
    more: int = 0


def of_series(series: Series) -> Chosen:
    """The tiles of a series in the order of its clip-board sheet, those that are glazed already too."""
    ordered = in_sheet_order(with_coats(Tile.objects.filter(series=series)), spread_of(series))
    return Chosen(series.name, f"series={series.pk}", tuple(ordered))


def of_numbers(asked: Sequence[int]) -> Chosen:
    """The tiles of these numbers, in the order they were named."""
    found = {tile.number: tile for tile in with_coats(Tile.objects.filter(number__in=asked))}
    tiles = tuple(found[number] for number in dict.fromkeys(asked) if number in found)
    labels = ",".join(numbers.write(tile.number) for tile in tiles)
    title = f"Tile {tiles[0].label}" if len(tiles) == 1 else f"{len(tiles)} tiles"
    return Chosen(title, f"tiles={labels}", tiles)


def of_all() -> Chosen:
    """All tiles that wait for glaze, oldest first, and those glazed today."""
    tapped = CoatLaid.objects.filter(layer__tile=OuterRef("pk"))
    today = Tile.objects.filter(Exists(tapped), glazed_on=timezone.localdate())
    # Asked apart: in one condition, SQLite goes through all tiles twice as long; and once, for their number as well.
    waiting, noted = (tiles.order_by().values_list("number", flat=True) for tiles in (to_glaze(), today))
    found = list(waiting.union(noted).order_by("number"))
    tiles = with_coats(Tile.objects.filter(number__in=found[:MOST_TILES]))
    return Chosen("All tiles to glaze", "", tuple(tiles), max(0, len(found) - MOST_TILES))


def with_coats(tiles: QuerySet[Tile]) -> QuerySet[Tile]:
    """Tiles with all that a session shows of them."""
    return for_drawing(tiles).prefetch_related("layers__coats_laid__laid_by", "placements").order_by("number")


def coats_of(tile: Tile) -> tuple[Coat, ...]:
    """The coats of a tile's layers, bottom first: as many of each as its thickest zone takes; a dip is one.

    What is put on for a refiring has no turn before the first firing.
    """
    return tuple(
        Coat(layer.pk, number, most, layer.glaze_id, timedelta(minutes=layer.glaze.drying_min or 0))
        for layer in tile.layers.all()
        if layer.after_firings == 0
        for most in [max((cover.coats or 1 for cover in layer.coverages.all()), default=0)]
        for number in range(1, most + 1)
    )


def job_of(tile: Tile, place: int = 0) -> Job:
    """A tile's coats and those that are on; `tile` comes from `with_coats()`."""
    laid = {
        (layer.pk, coat.number): coat.laid_at
        for layer in tile.layers.all()
        for coat in layer.coats_laid.all()
    }
    coats = coats_of(tile)
    if tile.glazed_on or tile.placements.all():
        # Nothing is left to put on a glazed or fired tile, whether its coats were tapped or not.
        coats = tuple(coat for coat in coats if coat.key in laid)
    return Job(tile.pk, place, coats, {coat.key: laid[coat.key] for coat in coats if coat.key in laid})


@dataclass(frozen=True, slots=True)
class Patch:
    """A zone that takes the coat; `amount` only where it is dipped."""

    name: str
    amount: str
    textured: bool

    @property
    def words(self) -> str:
        """As it is read at the bench.

        >>> Patch("band 2", "3 s", True).words
        'band 2 3 s (textured)'
        """
        return " ".join(filter(None, (self.name, self.amount, "(textured)" if self.textured else "")))


@dataclass(frozen=True, slots=True)
class Turn:
    """What to do next: a coat of a layer on some zones of a tile, drawn."""

    tile: Tile
    layer: Layer
    coat: Coat
    patches: tuple[Patch, ...]
    faces: Faces
    is_dip: bool
    ready_at: datetime | None
    is_ready: bool
    details: Mapping[str, object]
    over: tuple[str, ...]
    under: tuple[str, ...]

    @property
    def where(self) -> str:
        """The zones in words."""
        return ", ".join(patch.words for patch in self.patches)

    @property
    def with_words(self) -> str:
        """What it goes on with, as the page foresees it."""
        lot, gravity, tool = (self.details[name] for name in ("batch", "gravity", "tool"))
        told = (f"lot {lot}" if lot else "", f"SG {gravity}" if gravity else "", str(tool))
        return ", ".join(filter(None, told)) or "Lot, specific gravity, brush"

    @property
    def can_stop(self) -> bool:
        """Whether a coat of this layer is on, so that one may leave it at that."""
        return self.coat.number > 1


@dataclass(frozen=True, slots=True)
class Row:
    """A tile of the session in its list."""

    tile: Tile
    on: int
    of: int
    ready_at: datetime | None
    is_ready: bool
    next_words: str

    @property
    def is_done(self) -> bool:
        return self.on >= self.of


@dataclass(frozen=True, slots=True)
class Session:
    """A session as it stands."""

    chosen: Chosen
    turn: Turn | None
    waiting: tuple[Row, ...]
    done: tuple[Row, ...]
    bare: tuple[Tile, ...]
    coats_on: int
    coats_of: int
    last: CoatLaid | None
    may_add: bool
    now: datetime

    @property
    def is_all_wet(self) -> bool:
        """Whether every tile that wants a coat dries still."""
        return not any(row.is_ready for row in self.waiting)


def session(chosen: Chosen, now: datetime, tile: int | None = None) -> Session:
    """How a session stands, and the turn: of `tile` where one was asked for, else of the one whose turn it is."""
    layered = [one for one in chosen.tiles if one.layers.all()]
    tiles = {one.pk: one for one in layered}
    jobs = [job_of(one, place) for place, one in enumerate(layered)]
    turns = in_turn(jobs, now)
    asked = [job for job in turns if tiles[job.tile].number == tile]
    current = next(iter(asked or turns), None)
    on = [
        coat
        for one in layered
        if _is_tapped(one)
        for layer in one.layers.all()
        for coat in layer.coats_laid.all()
    ]
    last = max(on, key=lambda coat: (coat.laid_at, coat.pk), default=None)
    return Session(
        chosen,
        _turn(tiles[current.tile], current, now, jobs, tiles) if current else None,
        tuple(_row(tiles[job.tile], job, now) for job in turns),
        tuple(_row(tiles[job.tile], job, now) for job in jobs if job.is_done),
        tuple(one for one in chosen.tiles if not one.layers.all()),
        sum(len(job.coats) - len(job.left) for job in jobs),
        sum(len(job.coats) for job in jobs),
        last,
        last is not None and _may_add(last, jobs),
        now,
    )


def _is_tapped(tile: Tile) -> bool:
    """Whether its coats tell how far it is: of a tile glazed by a sheet typed in, those tapped before tell nothing."""
    laid = sum(len(layer.coats_laid.all()) for layer in tile.layers.all())
    return tile.glazed_on is None or laid == len(coats_of(tile))


def _may_add(last: CoatLaid, jobs: Iterable[Job]) -> bool:
    """Whether one coat more than planned may follow the coat put on last: it is brushed, and its layer's last."""
    job = next(job for job in jobs if job.tile == last.layer.tile_id)
    has_left = any(coat.layer == last.layer_id for coat in job.left)
    return last.layer.method != Method.DIP and not has_left and not last.layer.tile.placements.all()


def _row(tile: Tile, job: Job, now: datetime) -> Row:
    layers = {layer.pk: layer for layer in tile.layers.all()}
    coat = job.next
    words = ""
    if coat:
        layer = layers[coat.layer]
        words = f"{layer.glaze}, {_coat_words(coat, layer)}"
    return Row(tile, len(job.coats) - len(job.left), len(job.coats), job.ready_at, job.is_ready(now), words)


def _coat_words(coat: Coat, layer: Layer) -> str:
    return "a dip" if layer.method == Method.DIP else f"coat {coat.number} of {coat.of}"


def _turn(tile: Tile, job: Job, now: datetime, jobs: Sequence[Job], tiles: Mapping[int, Tile]) -> Turn:
    coat = job.left[0]
    layer = next(one for one in tile.layers.all() if one.pk == coat.layer)
    zones = {zone.pk: zone for zone in tile.zones.all()}
    covers = [cover for cover in layer.coverages.all() if (cover.coats or 1) >= coat.number]
    covers.sort(key=lambda cover: zones[cover.zone_id].position)
    patches = tuple(
        Patch(
            zones[cover.zone_id].name,
            amount_of(cover).words if cover.dip_s is not None else "",
            zones[cover.zone_id].textured,
        )
        for cover in covers
    )
    stacks = {
        zones[cover.zone_id].name: [
            LaidLayer(layer.glaze.name, layer.glaze.swatch, layer.method, amount_of(cover))
        ]
        for cover in covers
    }
    return Turn(
        tile,
        layer,
        coat,
        patches,
        draw_faces(outline_of_tile(tile), clay_of(tile.body), stacks, tile.label),
        layer.method == Method.DIP,
        job.ready_at,
        job.is_ready(now),
        _details(layer, jobs, tiles),
        _across(tile, layer, lambda other: other.position < layer.position),
        _across(tile, layer, lambda other: other.position > layer.position),
    )


def _across(tile: Tile, layer: Layer, is_meant: Callable[[Layer], bool]) -> tuple[str, ...]:
    """The glazes of other layers of this glazing that share a zone with the layer, as they lie."""
    zones = {cover.zone_id for cover in layer.coverages.all()}
    return tuple(
        other.glaze.name
        for other in tile.layers.all()
        if is_meant(other)
        and other.after_firings == 0
        and any(cover.zone_id in zones for cover in other.coverages.all())
    )


def _details(layer: Layer, jobs: Iterable[Job], tiles: Mapping[int, Tile]) -> dict[str, object]:
    """Lot, specific gravity and brush of the layer; where it says none, those of the same glaze used last."""
    own = _used(layer)
    before = [
        (job.laid[coat.key], other)
        for job in jobs
        for coat in job.coats
        if coat.key in job.laid and coat.glaze == layer.glaze_id
        for other in tiles[job.tile].layers.all()
        if other.pk == coat.layer
    ]
    if not before:
        return own
    last = max(before, key=lambda one: one[0])[1]
    used = _used(last)
    return {name: own[name] or used[name] for name in own}


def _used(layer: Layer) -> dict[str, object]:
    return {"batch": layer.batch, "gravity": figure_words(layer.specific_gravity), "tool": layer.tool}


def versions_of(tiles: Sequence[Tile]) -> list[int]:
    """The keys of the versions that stand now, one of each tile."""
    standing = Tile.history.filter(id__in=[tile.pk for tile in tiles]).order_by().values("id")
    return list(standing.annotate(newest=Max("history_id")).values_list("newest", flat=True))
