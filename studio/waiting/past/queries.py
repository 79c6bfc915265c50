"""Which results came in from an earlier year's spreadsheet, and what of them is still bare."""

from dataclasses import dataclass
from datetime import date
from urllib.parse import urlencode

from django.db.models import Count, Exists, F, Max, Min, OuterRef, Q, QuerySet
from django.urls import reverse

from firings.vocabulary import FIRED
from studio.models import ImportedRecord
from studio.vocabulary import ImportState
from tiles.columns.held import kept_with
from tiles.columns.queries import standing
from tiles.models import Outcome, PhotoFiling, Placement, Tile
from tiles.search.queries import searchable


@dataclass(frozen=True, slots=True)
class Unphotographed:
    """Tiles out of a kiln without a photo: those of this log's own firings, and those brought in from before.

    since : the day of the first firing of the former, where there are any of the latter to tell them from
    """

    today: int
    past: int
    since: date | None = None

    @property
    def address(self) -> str:
        """The results of today's, which are younger than what was brought in."""
        return results_address("photo", since=self.since)


@dataclass(frozen=True, slots=True)
class BroughtIn:
    """What is bare of results from earlier years: tiles without a photo, and results that say nothing of what was seen.

    until : the day of their last firing
    """

    unphotographed: int
    unjudged: int
    until: date | None

    @property
    def photo_address(self) -> str:
        return results_address("photo", until=self.until)

    @property
    def judged_address(self) -> str:
        return results_address("judged", until=self.until)


def results_address(without: str, **days: date | None) -> str:
    """The results without a photo or a judgement, fired in a span of days."""
    asked = {without: "no"} | {name: day.isoformat() for name, day in days.items() if day}
    return f"{reverse('tiles:search:results')}?{urlencode(asked)}"


def is_past() -> Q:
    """Results and places in a kiln of tiles that an import brought in, of firings before they came into the log.

    A tile that is fired again afterwards is today's work, as any other.
    """
    imported = ImportedRecord.objects.filter(
        model=Tile._meta.label_lower,
        record_id=OuterRef("tile"),
        before__isnull=True,
        made_in__state=ImportState.KEPT.value,
    )
    return Q(firing__started_at__lt=F("tile__created_at")) & Q(Exists(imported))


def unjudged() -> QuerySet[Outcome]:
    """Results to judge: those of earlier years are not, what was seen of them is written down or forgotten."""
    return searchable().filter(judged_at__isnull=True).exclude(is_past())


def unphotographed() -> Unphotographed:
    """Tiles that came out of a kiln and have no photo."""
    return kept_with(standing(), "tiles without a photo", _unphotographed)


def _unphotographed() -> Unphotographed:
    fired = Placement.objects.filter(
        tile=OuterRef("pk"), firing__state__in=FIRED, firing__binned_at__isnull=True, outcomes__isnull=False
    )
    filed = PhotoFiling.objects.filter(tile=OuterRef("pk"), photo__binned_at__isnull=True)
    bare = Tile.objects.filter(~Exists(filed), Exists(fired))
    today = Q(Exists(fired.exclude(is_past())))
    counts = bare.aggregate(total=Count("pk"), today=Count("pk", filter=today))
    past = counts["total"] - counts["today"]
    since = None
    if past and counts["today"]:
        of_today = searchable().filter(tile__in=bare.filter(today).values("pk")).exclude(is_past())
        since = of_today.aggregate(first=Min("fired_on"))["first"]
    return Unphotographed(counts["today"], past, since)


def brought_in() -> BroughtIn | None:
    """What of earlier years is bare; None where nothing is."""
    return kept_with(standing(), "bare of earlier years", _brought_in)


def _brought_in() -> BroughtIn | None:
    if not ImportedRecord.objects.filter(model=Tile._meta.label_lower).exists():
        return None
    past = searchable().filter(is_past())
    found = past.aggregate(last=Max("fired_on"), unjudged=Count("pk", filter=Q(judged_at__isnull=True)))
    bare = unphotographed().past
    return BroughtIn(bare, found["unjudged"], found["last"]) if bare or found["unjudged"] else None
