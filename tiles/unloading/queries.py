"""The rows of the unload page, and what one tile's judging starts from; queries do not grow with the tiles."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from django.db.models import Count, Prefetch, Q

from firings.models import Firing, User
from tiles.conditions.facts import LayerFacts
from tiles.conditions.queries import stacks_of
from tiles.models import Outcome, OutcomeQuerySet, Photo, PhotoFiling, Placement
from tiles.tray.parts.queries import PhotoPart, shown_of
from tiles.unloading.judgement import Judgement, expected, judgement_words
from tiles.unloading.services import judgement_of
from tiles.unloading.zones import zone_lines


@dataclass(slots=True)
class Row:
    """One tile of the firing: where it stood, its glazed zones, its photos after this firing."""

    placement: Placement
    outcomes: list[Outcome] = field(default_factory=list)
    stacks: dict[int, tuple[LayerFacts, ...]] = field(default_factory=dict)
    photos: list[Photo | PhotoPart] = field(default_factory=list)

    @property
    def label(self) -> str:
        return self.placement.tile.label

    @property
    def judged(self) -> int:
        return sum(outcome.is_judged for outcome in self.outcomes)

    @property
    def is_judged(self) -> bool:
        """Whether nothing is left to judge; a tile without glaze has nothing from the start."""
        return self.judged == len(self.outcomes)

    @property
    def zone_words(self) -> list[tuple[str, str]]:
        """The zones with what to know of them now: their stacks, or once they are judged what was seen."""
        if self.is_judged:
            return [(outcome.zone.name, seen_words(outcome)) for outcome in self.outcomes]
        return zone_lines([(outcome.zone.name, self.stacks[outcome.pk]) for outcome in self.outcomes])


@dataclass(frozen=True, slots=True)
class Unloading:
    """A firing's rows in the order one unloads, and how far the judging is."""

    rows: list[Row]

    @property
    def total(self) -> int:
        """Tiles with something to judge."""
        return sum(bool(row.outcomes) for row in self.rows)

    @property
    def done(self) -> int:
        return sum(bool(row.outcomes) and row.is_judged for row in self.rows)

    @property
    def is_done(self) -> bool:
        return self.total > 0 and self.done == self.total

    def row_of(self, number: int) -> Row | None:
        """The row of a tile by its number without check digit."""
        return next((row for row in self.rows if row.placement.tile.number == number), None)

    def next_after(self, number: int | None) -> Row | None:
        """The next tile with something to judge, going on below this one and then from the top."""
        at = next((i for i, row in enumerate(self.rows) if row.placement.tile.number == number), -1)
        return next((row for row in self.rows[at + 1 :] + self.rows[: at + 1] if not row.is_judged), None)


class Left(NamedTuple):
    """Of so many tiles with something to judge, how many are not judged through."""

    tiles: int
    of: int


def left_to_judge(firing: Firing) -> Left:
    """What is left to judge in a firing, counted alone; nothing before it has been through the fire."""
    inside = Outcome.objects.fired().filter(firing=firing, tile__binned_at__isnull=True)
    unjudged = Count("tile", distinct=True, filter=Q(judged_at__isnull=True))
    counted = inside.aggregate(tiles=unjudged, of=Count("tile", distinct=True))
    return Left(counted["tiles"], counted["of"])


def seen_words(outcome: Outcome) -> str:
    """What was seen, in a line; nothing while it is unjudged."""
    return judgement_words(judgement_of(outcome)) if outcome.is_judged else ""


def unloading_of(firing: Firing, tile_number: int | None = None) -> Unloading:
    """All tiles of a firing, top shelf first; or that one tile alone, for its own piece of the page."""
    placements = Placement.objects.filter(firing=firing, tile__binned_at__isnull=True)
    if tile_number is not None:
        placements = placements.filter(tile__number=tile_number)
    rows = {placement.pk: Row(placement) for placement in placements.by_shelf()}
    for outcome in _with_what_is_seen().filter(placement__in=list(rows)):
        row = rows[outcome.placement_id]
        outcome.tile = row.placement.tile
        row.outcomes.append(outcome)
    # A judged tile says what was seen; what lies on it is not read.
    waiting = [row for row in rows.values() if not row.is_judged]
    stacks = stacks_of(outcome.pk for row in waiting for outcome in row.outcomes)
    for row in waiting:
        row.stacks = {outcome.pk: stacks[outcome.pk] for outcome in row.outcomes}
    for placement_id, photos in photos_of(list(rows)).items():
        rows[placement_id].photos = photos
    return Unloading(list(rows.values()))


def last_firing_of(tile_number: int) -> Firing | None:
    """The firing a tile came out of last, or waits in; none for a tile in no firing."""
    placed = Placement.objects.filter(
        tile__number=tile_number, tile__binned_at__isnull=True, firing__binned_at__isnull=True
    )
    last = placed.select_related("firing").order_by("-sequence").first()
    return last.firing if last else None


def outcomes() -> OutcomeQuerySet:
    """Outcomes with all that judging shows of them, in a constant number of queries."""
    return _with_what_is_seen().prefetch_related("tile")


def _with_what_is_seen() -> OutcomeQuerySet:
    # What many zones share is read once, not once for every zone; a queryset of flaws for each would cost most of all.
    shared = ("top_glaze", "judged_by", Prefetch("flaws", to_attr="flaws_seen"))
    return (
        Outcome.objects.select_related("zone")
        .prefetch_related(*shared)
        .order_by("placement", "zone__position")
    )


def photos_of(placement_ids: Sequence[int]) -> dict[int, list[Photo | PhotoPart]]:
    """The photos of tiles after this firing, the newest first."""
    photos: dict[int, list[Photo | PhotoPart]] = defaultdict(list)
    filings = PhotoFiling.objects.filter(placement__in=placement_ids, photo__binned_at__isnull=True)
    for filing in filings.select_related("photo").order_by("-filed_at"):
        if filing.placement_id is not None and shown_of(filing) not in photos[filing.placement_id]:
            photos[filing.placement_id].append(shown_of(filing))
    return photos


def start_of(outcome: Outcome) -> Judgement:
    """What judging a zone starts from: what stands there, else what the glaze on top promises.

    A run that was measured on a photo before anybody judged the zone stands there.
    """
    if outcome.is_judged:
        return judgement_of(outcome)
    glaze = outcome.top_glaze
    promised = expected(glaze.surface, glaze.opacity) if glaze else expected("", "")
    if outcome.run_mm is None:
        return promised
    return replace(promised, run_mm=outcome.run_mm, runs_off=outcome.runs_off)


def same_as_last(row: Row, *, by: User) -> tuple[str, dict[int, Judgement]]:
    """The tile this person judged last in the firing, and what they saw on it.

    Returns its number, and the judgements by the key of the same-named zone of this tile; both empty where there is
    none to take over.
    """
    mine = outcomes().filter(firing=row.placement.firing_id, judged_by=by, judged_at__isnull=False)
    others = mine.exclude(placement=row.placement)
    last = others.order_by("-judged_at", "-pk").first()
    if last is None:
        return "", {}
    seen = {
        outcome.zone.name: judgement_of(outcome) for outcome in others.filter(placement=last.placement_id)
    }
    taken = {outcome.pk: seen[outcome.zone.name] for outcome in row.outcomes if outcome.zone.name in seen}
    return (last.tile.label if taken else ""), taken
