"""What the catalogue's pages show beside the records themselves."""

from django.db.models import Count, F, Max, Min, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce
from django.db.models.lookups import GreaterThan

from tiles.models import ClayBody, Glaze, Outcome, StackedLayer, TileForm


def _count_of(rows: QuerySet, group: str) -> Coalesce:
    counted = rows.order_by().values(group).annotate(count=Count("pk", distinct=True)).values("count")
    return Coalesce(Subquery(counted), 0)


def glazes() -> QuerySet[Glaze]:
    """Glazes by name, each with the number of fired results it has a part in."""
    stacked = StackedLayer.objects.filter(glaze=OuterRef("pk"), outcome__fired_on__isnull=False)
    return Glaze.objects.by_name().annotate(result_count=_count_of(stacked, "glaze"))


def fired_glazes() -> QuerySet[Glaze]:
    """Glazes with results, by name."""
    return glazes().filter(GreaterThan(F("result_count"), 0))


def bodies() -> QuerySet[ClayBody]:
    """Clay bodies by name, each with the number of fired results on it."""
    results = Outcome.objects.fired().filter(body=OuterRef("pk"))
    return ClayBody.objects.by_name().annotate(result_count=_count_of(results, "body"))


def forms() -> QuerySet[TileForm]:
    """Tile forms by name with their zones, each with the number of tiles cut to it."""
    return TileForm.objects.order_by("name").annotate(tile_count=Count("tiles")).prefetch_related("zones")


def cones_fired(glaze: Glaze) -> tuple[int | None, int | None]:
    """The lowest and highest reached cone among the glaze's results, as ranks."""
    ends = (
        Outcome.objects.fired()
        .with_glaze(glaze)
        .aggregate(low=Min("reached_order"), high=Max("reached_order"))
    )
    return ends["low"], ends["high"]
