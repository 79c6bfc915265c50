"""What the home page shows, in a number of queries that does not grow with the studio."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from firings.cones import series as cones
from firings.models import Firing, Kiln
from firings.vocabulary import FiringState
from tiles.models import (
    ClayBody,
    Glaze,
    Layer,
    Outcome,
    Photo,
    PhotoFiling,
    Placement,
    Series,
    Tile,
    TileForm,
)
from tiles.search.filters import pictured
from tiles.search.queries import Card, photos_of, searchable
from tiles.series.queries import with_progress
from tiles.vocabulary import SeriesState

FIRED = (FiringState.FIRED.value, FiringState.UNLOADED.value)
AT_MOST = 6
THUMBNAILS = 4
RESULTS_IN_VIEW = 8


@dataclass(frozen=True, slots=True)
class ToJudge:
    """A firing that came out of the kiln: how many of its tiles are judged."""

    firing: Firing
    total: int
    left: int

    @property
    def done(self) -> int:
        return self.total - self.left


@dataclass(frozen=True, slots=True)
class ToLoad:
    """Glazed tiles that wait for a kiln, by the cone they are meant for; no cone where none was planned."""

    order: int | None
    count: int

    @property
    def words(self) -> str:
        return f"for cone {cones.label_of(self.order)}" if self.order else "for no cone yet"


@dataclass(frozen=True, slots=True)
class Tray:
    """Photos that wait to be sorted."""

    count: int
    first: list[Photo]


@dataclass(frozen=True, slots=True)
class Step:
    """A step on the way to the first result."""

    words: str
    url_name: str
    is_done: bool


@dataclass(frozen=True, slots=True)
class Waiting:
    """The home page."""

    to_judge: list[ToJudge]
    in_kiln: list[Firing]
    to_load: list[ToLoad]
    tray: Tray
    unpictured: int
    series: list[Series]
    last_results: list[Card]
    steps: list[Step]

    @property
    def is_new_studio(self) -> bool:
        """Whether the first result is still to come."""
        return any(not step.is_done for step in self.steps)

    @property
    def next_step(self) -> Step | None:
        return next((step for step in self.steps if not step.is_done), None)

    @property
    def to_load_count(self) -> int:
        return sum(group.count for group in self.to_load)

    @property
    def is_quiet(self) -> bool:
        """Whether nothing needs anyone."""
        return not (self.to_judge or self.in_kiln or self.to_load or self.tray.count or self.unpictured)


def what_waits() -> Waiting:
    """All that needs somebody next, and the results judged last."""
    return Waiting(
        to_judge=to_judge(),
        in_kiln=in_kiln(),
        to_load=to_load(),
        tray=tray(),
        unpictured=unpictured(),
        series=series_under_way(),
        last_results=last_results(),
        steps=first_steps(),
    )


def to_judge() -> list[ToJudge]:
    """Firings whose tiles are not all judged, the longest waiting first; two queries."""
    counted = (
        searchable()
        .order_by()
        .values("firing")
        .annotate(
            total=Count("placement", distinct=True),
            left=Count("placement", filter=Q(judged_at__isnull=True), distinct=True),
        )
        .filter(left__gt=0)
    )
    by_firing = {row["firing"]: row for row in counted}
    firings = Firing.objects.for_lists().filter(pk__in=by_firing).order_by("started_at", "number")
    return [
        ToJudge(firing, by_firing[firing.pk]["total"], by_firing[firing.pk]["left"]) for firing in firings
    ]


def in_kiln() -> list[Firing]:
    """Firings that are loaded or planned, each with `tile_count`; the loaded ones first."""
    waiting = Firing.objects.in_state(FiringState.LOADED, FiringState.PLANNED).for_lists()
    tiles = Count("placements", filter=Q(placements__tile__binned_at__isnull=True))
    return list(waiting.annotate(tile_count=tiles).order_by("state", "number")[:AT_MOST])


def to_load() -> list[ToLoad]:
    """Tiles that are glazed and in no firing, by planned cone, the coolest first."""
    counted = glazed_and_waiting().order_by().values("planned_order").annotate(count=Count("pk"))
    groups = [ToLoad(row["planned_order"], row["count"]) for row in counted]
    return sorted(groups, key=lambda group: (group.order is None, group.order or 0))


def glazed_and_waiting() -> QuerySet[Tile]:
    return Tile.objects.unplaced().filter(Exists(Layer.objects.filter(tile=OuterRef("pk"))))


def tray() -> Tray:
    """The sorting tray: how many photos, and the first of them."""
    waiting = Photo.objects.unfiled()
    count = waiting.count()
    return Tray(count, list(waiting[:THUMBNAILS]))


def unpictured() -> int:
    """How many tiles came out of a kiln and have no photo."""
    fired = Placement.objects.filter(
        tile=OuterRef("pk"), firing__state__in=FIRED, firing__binned_at__isnull=True, outcomes__isnull=False
    )
    filed = PhotoFiling.objects.filter(tile=OuterRef("pk"), photo__binned_at__isnull=True)
    return Tile.objects.filter(Exists(fired), ~Exists(filed)).count()


def series_under_way() -> list[Series]:
    """Series that still have something to do, the newest first."""
    under_way = Series.objects.exclude(state=SeriesState.DONE.value).order_by("-created_at")
    return list(with_progress(under_way)[:AT_MOST])


def last_results() -> list[Card]:
    """The outcomes judged last that have a photo, one of each tile."""
    judged = (
        Outcome.objects.for_display().filter(pk__in=searchable().values("pk")).judged().filter(pictured())
    )
    latest = list(judged.order_by("-judged_at", "-pk")[: RESULTS_IN_VIEW * 6])
    shown = list({outcome.tile_id: outcome for outcome in reversed(latest)}.values())[::-1][:RESULTS_IN_VIEW]
    photos = photos_of(shown)
    return [Card(outcome, photos[outcome.pk]) for outcome in shown if outcome.pk in photos]


def first_steps() -> list[Step]:
    """What a new studio does first, and which of it is done; one query."""
    there = _there(
        body=ClayBody.objects.all(),
        glaze=Glaze.objects.all(),
        form=TileForm.objects.all(),
        tile=Tile.objects.all(),
        kiln=Kiln.objects.all(),
        firing=Firing.objects.all(),
        judged=Outcome.objects.judged(),
    )
    return [
        Step("Describe a clay body", "tiles:catalogue:new_body", there["body"]),
        Step("Describe a glaze, with what its label says", "tiles:catalogue:new_glaze", there["glaze"]),
        Step("Draw the tile form, with its bands", "tiles:catalogue:new_form", there["form"]),
        Step("Glaze the first tile", "tiles:recording:new", there["tile"]),
        Step("Describe the kiln and its shelves", "firings:kilns:new", there["kiln"]),
        Step("Plan a firing and load the tile", "firings:logbook:new", there["firing"]),
        Step("Unload and judge it", "firings:logbook:list", there["judged"]),
    ]


def _there(**found: QuerySet) -> dict[str, bool]:
    """Which of these have any rows, asked all at once."""
    one_row = _any_row().annotate(**{f"has_{name}": Exists(rows) for name, rows in found.items()})  # type: ignore[name-defined]
    answers = one_row.values(*(f"has_{name}" for name in found)).first() or {}
    return {name: bool(answers.get(f"has_{name}")) for name in found}
