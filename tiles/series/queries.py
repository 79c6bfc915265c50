"""How far series and their tiles have come."""

from django.db.models import Case, CharField, Count, Exists, OuterRef, Q, QuerySet, Value, When

from firings.vocabulary import FIRED
from tiles.models import Outcome, Placement, Series, Tile
from tiles.recording.queries import for_drawing


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
