"""What recording asks of the log: what is on hand, what a tile's recipe was, how it is drawn, how far a series is."""

from collections.abc import Iterable, Sequence
from itertools import count, islice

from django.db.models import Q, QuerySet

from firings.models import Firing
from firings.vocabulary import Purpose
from tiles import numbers
from tiles.models import (
    ClayBody,
    Coverage,
    Glaze,
    GlazeBatch,
    Layer,
    Outcome,
    Tile,
    TileForm,
    Zone,
)
from tiles.recording.grid import Amount, Cover, LayerRecipe, Recipe
from tiles.recording.section import Clay, LaidLayer, Outline, ZoneShape


def glazes_for(tile: Tile | None = None) -> QuerySet[Glaze]:
    """Glazes in use, and those on the tile even if they went to the bin since."""
    chosen = Q(binned_at__isnull=True)
    laid = Q(pk__in=Layer.objects.filter(tile=tile).order_by().values("glaze"))
    return Glaze.everything.filter(chosen | laid if tile else chosen).order_by("name")


def lots_for(tile: Tile | None = None) -> QuerySet[GlazeBatch]:
    """Lots in use, newest first within their glaze, and those on the tile."""
    chosen = Q(binned_at__isnull=True)
    noted = Layer.objects.filter(tile=tile, batch__isnull=False).order_by()
    laid = Q(pk__in=noted.values("batch"))
    return GlazeBatch.everything.filter(chosen | laid if tile else chosen).order_by(
        "glaze", "-opened_on", "lot"
    )


def bodies_for(tile: Tile | None = None) -> QuerySet[ClayBody]:
    chosen = Q(binned_at__isnull=True)
    return ClayBody.everything.filter(chosen | Q(pk=tile.body_id) if tile else chosen).order_by("name")


def forms_for(tile: Tile | None = None) -> QuerySet[TileForm]:
    """Forms that have zones to glaze."""
    chosen = Q(binned_at__isnull=True, zones__isnull=False)
    return (
        TileForm.everything.filter(chosen | Q(pk=tile.form_id) if tile else chosen)
        .distinct()
        .order_by("name")
    )


def bisque_firings() -> QuerySet[Firing]:
    return Firing.objects.filter(purpose=Purpose.BISQUE.value).order_by("-number")


def tools_used() -> list[str]:
    """The brushes and tools of the latest layers, for a person to choose from."""
    latest = Layer.objects.exclude(tool="").order_by("-pk").values_list("tool", flat=True)[:300]
    return sorted(set(latest), key=str.casefold)


def outline_of(form: TileForm) -> Outline:
    """A form as it is drawn; one query unless its zones are at hand."""
    return Outline(
        form.shape,
        float(form.width_mm),
        float(form.height_mm),
        tuple(
            ZoneShape(
                zone.name,
                zone.face,
                zone.textured,
                float(zone.x_mm),
                float(zone.y_mm),
                float(zone.width_mm),
                float(zone.height_mm),
            )
            for zone in form.zones.all()
        ),
    )


def outline_of_tile(tile: Tile) -> Outline:
    """A tile as it is drawn: its own zones, as they were at making, where the form puts them."""
    return Outline(
        tile.form.shape,
        float(tile.form.width_mm),
        float(tile.form.height_mm),
        tuple(_shape_of(zone) for zone in tile.zones.all()),
    )


def _shape_of(zone: Zone) -> ZoneShape:
    place = zone.form_zone
    return ZoneShape(
        zone.name,
        zone.face,
        zone.textured,
        float(place.x_mm),
        float(place.y_mm),
        float(place.width_mm),
        float(place.height_mm),
    )


def clay_of(body: ClayBody) -> Clay:
    return Clay(body.name, body.swatch, body.speckled)


def amount_of(coverage: Coverage) -> Amount:
    return Amount(coverage.coats, coverage.dip_s)


def for_drawing(tiles: QuerySet[Tile]) -> QuerySet[Tile]:
    """Tiles with all that their recipe and their drawing need, in a constant number of queries."""
    return tiles.select_related("form", "body", "series").prefetch_related(
        "zones__form_zone", "layers__glaze", "layers__batch", "layers__coverages"
    )


def stacks_of(tile: Tile) -> dict[str, list[LaidLayer]]:
    """For each zone by name its layers, bottom to top."""
    names = {zone.pk: zone.name for zone in tile.zones.all()}
    stacks: dict[str, list[LaidLayer]] = {name: [] for name in names.values()}
    for layer in tile.layers.all():
        for coverage in layer.coverages.all():
            stacks[names[coverage.zone_id]].append(
                LaidLayer(layer.glaze.name, layer.glaze.swatch, layer.method, amount_of(coverage))
            )
    return stacks


def stack_of(outcome: Outcome) -> list[LaidLayer]:
    """An outcome's stack, bottom to top, from its copy; `outcome` comes from `for_display()`."""
    return [
        LaidLayer(row.glaze.name, row.glaze.swatch, row.method, Amount(row.coats, row.dip_s))
        for row in outcome.stacked.all()
    ]


def recipe_of(tile: Tile) -> Recipe:
    """What a tile was made from; `tile` comes from `for_drawing()`."""
    names = {zone.pk: zone.name for zone in tile.zones.all()}
    return Recipe(
        form_id=tile.form_id,
        body_id=tile.body_id,
        layers=tuple(_layer_recipe(layer, names) for layer in tile.layers.all()),
        body_lot=tile.body_lot,
        series_id=tile.series_id,
        bisque_firing_id=tile.bisque_firing_id,
        planned_order=tile.planned_order,
        planned_atmosphere=tile.planned_atmosphere,
        planned_hold_min=tile.planned_hold_min,
        glazed_on=tile.glazed_on,
        note=tile.note,
        number=tile.number,
    )


def _layer_recipe(layer: Layer, names: dict[int, str]) -> LayerRecipe:
    return LayerRecipe(
        layer.glaze_id,
        {
            names[coverage.zone_id]: Cover(amount_of(coverage), coverage.wet_mass_g, coverage.thickness_mm)
            for coverage in layer.coverages.all()
        },
        layer.batch_id,
        layer.method,
        layer.tool,
        layer.specific_gravity,
        layer.after_firings,
        str(layer.pk),
    )


def glaze_firings_of(tile: Tile) -> int:
    """How many glaze firings the tile has been placed in."""
    return tile.placements.count()


def free_numbers(wanted: int, besides: Iterable[int] = ()) -> list[int]:
    """The next numbers nobody has, the bin included; above the highest while there is room, else in the gaps.

    `besides` are numbers that are about to be taken.
    """
    taken = set(besides)
    start = Tile.objects.next_number()
    if start + wanted + len(taken) > numbers.HIGHEST:
        taken |= set(Tile.everything.values_list("number", flat=True))
        start = numbers.FIRST
    return list(islice((number for number in count(start) if number not in taken), wanted))


def taken_numbers(asked: Sequence[int]) -> list[int]:
    """Which of these numbers a tile has already, the bin included."""
    return list(Tile.everything.filter(number__in=asked).values_list("number", flat=True))
