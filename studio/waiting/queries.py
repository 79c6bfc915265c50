"""What the home page shows, in a number of queries that does not grow with the studio."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from django.db.models import Count, Exists, F, OuterRef, Q, QuerySet
from django.urls import reverse
from django.utils.formats import date_format

from firings.cones import series as cones
from firings.models import Firing, Kiln
from firings.vocabulary import FiringState
from studio.backup.queries import is_old, last_proven
from studio.models import Backup, Person
from studio.waiting.held import any_judged_pictured, unjudged_firings
from studio.waiting.jobs import Job, Step, cone_words, photos_words, tiles_words
from studio.waiting.past.queries import BroughtIn, brought_in, unjudged, unphotographed
from studio.work.queries import work_jobs
from tiles.columns.held import kept_with
from tiles.columns.queries import standing
from tiles.glazing.queries import to_glaze
from tiles.models import (
    ClayBody,
    Glaze,
    Layer,
    Outcome,
    Photo,
    Series,
    Tile,
    TileForm,
)
from tiles.search.filters import pictured
from tiles.search.queries import ListedResult, photos_of, searchable
from tiles.series.queries import progress_of
from tiles.vocabulary import SeriesState

FIRINGS_IN_VIEW = 12
SERIES_IN_VIEW = 6
THUMBNAILS = 4
RESULTS_IN_VIEW = 9
# So many zones of one tile are judged in a row, at most; more would show fewer tiles, no wrong ones.
ZONES_A_TILE = 8


@dataclass(frozen=True, slots=True)
class Waiting:
    """The home page."""

    jobs: list[Job]
    steps: list[Step]
    series: list[Series]
    results: list[ListedResult]
    past: BroughtIn | None = None
    backup: Backup | None = None
    backups_not_whole: Sequence[Backup] = ()

    @property
    def next_step(self) -> Step | None:
        """The step to take now; None once the first result is judged."""
        return next((step for step in self.steps if not step.is_done), None)


def what_waits(person: Person) -> Waiting:
    """All that needs somebody next, and what was judged last. Who may not judge is shown no jobs."""
    backup, not_whole = backups_seen_by(person)
    return Waiting(
        jobs=[
            *(jobs() if person.has_perm("tiles.change_outcome") else []),
            *backup_job(person, backup, not_whole),
            *work_jobs(person),
        ],
        steps=first_steps(person),
        series=series_under_way(),
        results=last_results(),
        past=brought_in() if person.has_perm("tiles.change_outcome") else None,
        backup=backup,
        backups_not_whole=not_whole,
    )


def jobs() -> list[Job]:
    """The jobs, the most pressing first: out of the kiln, photos, into the kiln."""
    open_firings = _open_firings()
    return [
        *unloading_jobs(),
        *tray_job(),
        *photo_job(),
        *kiln_jobs(open_firings),
        *tile_jobs(open_firings),
        *glazing_job(),
    ]


def unloading_jobs() -> Iterator[Job]:
    """Firings that came out of the kiln, until all is judged and they are marked unloaded; the oldest first."""
    waiting = Firing.objects.for_lists().filter(_unjudged() | Q(state=FiringState.FIRED.value))
    shown = list(waiting.order_by(F("started_at").asc(nulls_first=True), "number")[:FIRINGS_IN_VIEW])
    counted = searchable().filter(firing__in=shown).order_by().values("firing")
    left = counted.annotate(
        total=Count("placement", distinct=True),
        left=Count("placement", filter=Q(judged_at__isnull=True), distinct=True),
    )
    by_firing = {row["firing"]: row for row in left}
    for firing in shown:
        counts = by_firing.get(firing.pk, {"total": 0, "left": 0})
        yield _unloading_job(firing, counts["total"], counts["left"])


def _unjudged() -> Q:
    """Firings with results to judge, told by what is held in memory where it is."""
    to_judge = unjudged().order_by()
    if held := standing():
        there = to_judge.filter(firing=OuterRef("pk"))
        return Q(number__in=unjudged_firings(held)) & Q(Exists(there))
    return Q(pk__in=to_judge.values("firing"))


def _unloading_job(firing: Firing, total: int, left: int) -> Job:
    if not left:
        what = f"Mark {firing.label} unloaded"
        return Job("kiln", what, _kiln_words(firing), None, firing.get_absolute_url())
    what = f"{'Unload' if firing.state == FiringState.FIRED.value else 'Judge'} {firing.label}"
    why = f"{_kiln_words(firing)}; {left} of {tiles_words(total)} to judge"
    address = reverse("tiles:unloading:firing", args=[firing.number])
    return Job("kiln", what, why, left, address, done=total - left, total=total)


def _kiln_words(firing: Firing) -> str:
    return f"{cone_words(firing.target_label)}, {firing.get_atmosphere_display()}, kiln {firing.kiln}"


def _open_firings() -> list[Firing]:
    """Firings that are loaded or planned, the loaded ones first, each with `tile_count`."""
    waiting = Firing.objects.in_state(FiringState.LOADED, FiringState.PLANNED).for_lists()
    placed = Count("placements", filter=Q(placements__tile__binned_at__isnull=True), distinct=True)
    bisqued = Count("bisqued_tiles", filter=Q(bisqued_tiles__binned_at__isnull=True), distinct=True)
    return list(waiting.annotate(tile_count=placed + bisqued).order_by("state", "number")[:FIRINGS_IN_VIEW])


def kiln_jobs(firings: list[Firing]) -> Iterator[Job]:
    """What is to be fired, and what is to be loaded."""
    for firing in firings:
        count: int = firing.tile_count  # type: ignore[attr-defined]
        words = f"{_kiln_words(firing)}; {tiles_words(count)} in it so far"
        if firing.state == FiringState.LOADED.value:
            yield Job("cone", f"Fire {firing.label}", words, count, firing.get_absolute_url())
        else:
            address = reverse("tiles:loading:firing", args=[firing.number])
            yield Job("shelf", f"Load {firing.label}", words, count, address)


def tile_jobs(firings: list[Firing]) -> Iterator[Job]:
    """Tiles that are glazed and in no firing, by the cone they are meant for, the coolest first."""
    glazed = Tile.objects.unplaced().filter(
        Exists(Layer.objects.filter(tile=OuterRef("pk"))), glazed_on__isnull=False
    )
    counted = glazed.order_by().values("planned_order").annotate(count=Count("pk"))
    for row in sorted(counted, key=lambda row: (row["planned_order"] is None, row["planned_order"] or 0)):
        yield _tile_job(row["planned_order"], row["count"], firings)


def glazing_job() -> Iterator[Job]:
    """Tiles whose layers are planned and that nobody has glazed yet."""
    if count := to_glaze().count():
        why = "their layers are planned; each coat is timed, or type the clip-board sheet in"
        yield Job("glaze", f"Glaze {tiles_words(count)}", why, count, reverse("tiles:glazing:choose"))


def _tile_job(order: int | None, count: int, firings: list[Firing]) -> Job:
    """Into the firing that is planned for their cone, else one has to be planned."""
    why = f"glazed, cone {cones.label_of(order)}" if order else "glazed, no cone noted"
    fitting = [firing for firing in firings if order and firing.target_order == order]
    if fitting:
        address = reverse("tiles:loading:firing", args=[fitting[0].number])
        return Job("tile", f"Load {tiles_words(count)} into {fitting[0].label}", why, count, address)
    address = reverse("firings:logbook:new")
    if order:
        address += f"?{urlencode({'cone': cones.label_of(order)})}"
    return Job("tile", f"Plan a firing for {tiles_words(count)}", why, count, address)


def tray_job() -> Iterator[Job]:
    """Photos that are with no tile yet."""
    waiting = Photo.objects.unfiled()
    if count := waiting.count():
        address = reverse("tiles:tray:tray")
        yield Job(
            "tray", "Sort photos", photos_words(count), count, address, photos=tuple(waiting[:THUMBNAILS])
        )


def photo_job() -> Iterator[Job]:
    """Tiles that came out of a kiln and have no photo; those of earlier years are told of apart."""
    bare = unphotographed()
    if bare.today:
        what = f"Photograph {tiles_words(bare.today)}"
        yield Job("camera", what, "out of the kiln, without a photo", bare.today, bare.address)


def backups_seen_by(person: Person) -> tuple[Backup | None, list[Backup]]:
    """The last proven backup and all that are not whole, for who may see them."""
    if not person.has_perm("studio.view_backup"):
        return None, []
    return last_proven(), list(Backup.objects.not_whole())


def backup_job(person: Person, last: Backup | None, not_whole: Sequence[Backup]) -> Iterator[Job]:
    """A studio with results in it whose newest backup is not whole, or that has no fresh proven one."""
    newest_is_not_whole = bool(not_whole) and (last is None or not_whole[0].made_at > last.made_at)
    is_due = newest_is_not_whole or is_old(last)
    if is_due and person.has_perm("studio.add_backup") and Outcome.objects.judged().exists():
        why = (
            f"the last proven one is of {date_format(last.made_at, 'j M Y')}"
            if last
            else "none is proven yet"
        )
        if newest_is_not_whole:
            why = f"the newest, of {date_format(not_whole[0].made_at, 'j M Y')}, is not whole; {why}"
        yield Job("copy", "Back up the studio", why, None, reverse("backup:list"))


def series_under_way() -> list[Series]:
    """Series that still have something to do, the newest first, each with how far it is."""
    under_way = Series.objects.exclude(state=SeriesState.DONE.value).order_by("-created_at")
    return progress_of(under_way[:SERIES_IN_VIEW])


def last_results() -> list[ListedResult]:
    """What was judged last, one zone of each tile that has a photo."""
    keys = kept_with(standing(), "judged last", _judged_last)
    found = {outcome.pk: outcome for outcome in searchable().filter(pk__in=keys).for_display()}  # type: ignore[attr-defined]
    shown = [found[key] for key in keys if key in found]
    photos = photos_of(shown)
    return [ListedResult(outcome, photos[outcome.pk]) for outcome in shown if outcome.pk in photos]


def _judged_last() -> list[int]:
    """The keys of those results: whole records of all that were judged take far longer to sort."""
    held = standing()
    if held is not None and not any_judged_pictured(held):
        return []
    newest: dict[int, int] = {}
    judged = searchable().filter(pictured(), judged_at__isnull=False).order_by("-judged_at", "zone__position")
    for key, tile in judged.values_list("pk", "tile")[: RESULTS_IN_VIEW * ZONES_A_TILE]:
        newest.setdefault(tile, key)
    return list(newest.values())[:RESULTS_IN_VIEW]


def first_steps(person: Person) -> list[Step]:
    """What a new studio does first, and which of it is done; one query. Empty once all is done."""
    there = _there(
        person,
        has_body=ClayBody.objects.all(),
        has_glaze=Glaze.objects.all(),
        has_form=TileForm.objects.all(),
        has_tile=Tile.objects.all(),
        has_kiln=Kiln.objects.all(),
        has_firing=Firing.objects.all(),
        has_judged=Outcome.objects.judged(),
    )
    if all(there.values()):
        return []
    return [
        Step("Write down a clay body", reverse("tiles:catalogue:new_body"), there["has_body"]),
        Step(
            "Write down a glaze, with what its label says",
            reverse("tiles:catalogue:new_glaze"),
            there["has_glaze"],
        ),
        Step("Draw a tile form with its bands", reverse("tiles:catalogue:new_form"), there["has_form"]),
        Step(
            "Plan a series of tiles",
            reverse("tiles:planner:new"),
            there["has_tile"],
            ("or glaze a single tile", reverse("tiles:recording:new")),
        ),
        Step("Describe the kiln and its shelves", reverse("firings:kilns:new"), there["has_kiln"]),
        Step("Plan a firing and load the tile", reverse("firings:logbook:new"), there["has_firing"]),
        Step("Unload, photograph and judge", reverse("firings:logbook:list"), there["has_judged"]),
    ]


def _there(person: Person, **kinds: QuerySet) -> dict[str, bool]:
    """Which of these have any rows, all asked in one query, which hangs on the one row sure to be there."""
    asked = Person.objects.filter(pk=person.pk).annotate(
        **{name: Exists(rows) for name, rows in kinds.items()}
    )
    return dict(asked.values(*kinds).get())
