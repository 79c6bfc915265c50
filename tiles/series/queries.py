"""How far series and their tiles have come."""

from collections.abc import Iterable

from django.core.paginator import Page, Paginator
from django.db.models import Case, CharField, Count, Exists, OuterRef, Q, QuerySet, Value, When

from firings.models import Firing
from firings.vocabulary import FIRED
from tiles.models import Outcome, Placement, Series, Tile
from tiles.recording.queries import for_drawing

SERIES_A_PAGE = 40


def with_progress(series: QuerySet[Series]) -> QuerySet[Series]:
    """Series with `tile_count`, `glazed_count`, `fired_count` and `judged_count`."""
    kept = Q(tiles__binned_at__isnull=True)
    fired = Q(tiles__placements__firing__state__in=FIRED)
    judged = Q(tiles__outcomes__judged_at__isnull=False, tiles__outcomes__binned_at__isnull=True)
    return series.annotate(
        tile_count=Count("tiles", filter=kept, distinct=True),
        glazed_count=Count("tiles", filter=kept & Q(tiles__glazed_on__isnull=False), distinct=True),
        fired_count=Count("tiles", filter=kept & fired, distinct=True),
        judged_count=Count("tiles", filter=kept & judged, distinct=True),
    )


def progress_of(shown: Iterable[Series]) -> list[Series]:
    """These series, in their order, with their progress; tiles of no other series are counted."""
    keys = [series.pk for series in shown]
    counted = with_progress(Series.objects.filter(pk__in=keys)).in_bulk() if keys else {}
    return [counted[key] for key in keys if key in counted]


def series_listed(number: str) -> Page[Series]:
    """A page of series, the newest first, each with its progress."""
    page = Paginator(Series.objects.all(), SERIES_A_PAGE).get_page(number)
    page.object_list = progress_of(page.object_list)
    return page


def tiles_of(series: Series) -> QuerySet[Tile]:
    """A series' tiles in the order of their numbers, each with `step`, how far it has come."""
    fired = Placement.objects.filter(tile=OuterRef("pk"), firing__state__in=FIRED)
    judged = Outcome.objects.filter(tile=OuterRef("pk"), judged_at__isnull=False)
    step = Case(
        When(Exists(judged), then=Value("judged")),
        When(Exists(fired), then=Value("fired")),
        When(glazed_on__isnull=False, then=Value("glazed")),
        default=Value("planned"),
        output_field=CharField(),
    )
    return for_drawing(Tile.objects.filter(series=series).annotate(step=step).order_by("number"))


def firings_to_judge(series: Series) -> list[tuple[Firing, int]]:
    """Firings through which tiles of a series went that nobody judged since, the first number first, with how many."""
    unjudged = Outcome.objects.fired().unjudged().filter(tile__series=series, tile__binned_at__isnull=True)
    counted = dict(unjudged.order_by().values_list("firing").annotate(Count("tile", distinct=True)))
    return [
        (firing, counted[firing.pk]) for firing in Firing.objects.filter(pk__in=counted).order_by("number")
    ]
