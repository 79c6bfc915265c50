"""What the catalogue's pages show beside the records themselves."""

from collections.abc import Callable, Iterable
from typing import TypeVar

from django.db.models import Count, Max, Min, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from tiles.columns.queries import standing
from tiles.models import ClayBody, Glaze, Layer, Outcome, StackedLayer, Tile, TileForm
from tiles.search.queries import searchable

Record = TypeVar("Record", Glaze, ClayBody)


def _count_of(rows: QuerySet, group: str) -> Coalesce:
    counted = rows.order_by().values(group).annotate(count=Count("pk", distinct=True)).values("count")
    return Coalesce(Subquery(counted), 0)


def glazes() -> QuerySet[Glaze]:
    """Glazes by name, each with the number of fired results it has a part in."""
    stacked = StackedLayer.objects.filter(glaze=OuterRef("pk"), outcome__in=searchable())
    return Glaze.objects.by_name().annotate(result_count=_count_of(stacked, "glaze"))


def bodies() -> QuerySet[ClayBody]:
    """Clay bodies by name, each with the number of fired results on it."""
    results = searchable().filter(body=OuterRef("pk"))
    return ClayBody.objects.by_name().annotate(result_count=_count_of(results, "body"))


def all_glazes(tag: str = "") -> list[Glaze]:
    """The same, all of them or those of a tag: counted by what is held in memory, where it is."""
    among = Glaze.objects.tagged(tag) if tag else Glaze.objects.all()
    return _all_counted(among.by_name(), "glaze", lambda: glazes().filter(pk__in=among.values("pk")))


def fired_glazes() -> list[Glaze]:
    """Glazes with results, by name."""
    return [glaze for glaze in all_glazes() if glaze.result_count]  # type: ignore[attr-defined]


def all_bodies() -> list[ClayBody]:
    return _all_counted(ClayBody.objects.by_name(), "body", bodies)


def counted(record: Record) -> Record:
    """A glaze or a body with the number of fired results it has a part in."""
    facet, by_database = ("body", bodies) if isinstance(record, ClayBody) else ("glaze", glazes)
    (found,) = _all_counted([record], facet, lambda: by_database().filter(pk=record.pk))
    return found


def _all_counted(
    records: Iterable[Record], facet: str, by_database: Callable[[], QuerySet[Record]]
) -> list[Record]:
    held = standing()
    if held is None:
        return list(by_database())
    counts = held.answers.of((facet, "results"), lambda: held.counts_of(facet))
    found = list(records)
    for record in found:
        record.result_count = counts.get(record.pk, 0)  # type: ignore[attr-defined]
    return found


def forms() -> QuerySet[TileForm]:
    """Tile forms by name with their zones, each with the number of tiles cut to it, those in the bin left out."""
    in_use = Count("tiles", filter=Q(tiles__binned_at__isnull=True))
    return TileForm.objects.order_by("name").annotate(tile_count=in_use).prefetch_related("zones")


def tiles_with(record: Glaze | ClayBody) -> int:
    """How many tiles carry a glaze, or are made of a body; while there are any, it is nothing to throw away."""
    if isinstance(record, ClayBody):
        return Tile.objects.filter(body=record).count()
    return Tile.objects.filter(pk__in=Layer.objects.filter(glaze=record).values("tile")).count()


def cones_fired(glaze: Glaze) -> tuple[int | None, int | None]:
    """The lowest and highest reached cone among the glaze's results, as ranks."""
    ends = (
        Outcome.objects.fired()
        .with_glaze(glaze)
        .aggregate(low=Min("reached_order"), high=Max("reached_order"))
    )
    return ends["low"], ends["high"]
