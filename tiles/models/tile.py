"""A tile, its zones, the layers on them, and the firings it goes through."""

from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Exists, OuterRef, Q
from django.urls import reverse
from simple_history.models import HistoricalRecords

from firings.models import Firing, Shelf
from firings.models.constraints import one_of, within
from firings.models.kept import InUseManager, Kept, KeptQuerySet
from firings.vocabulary import Atmosphere
from tiles import numbers
from tiles.models.catalogue import ClayBody, Glaze, GlazeBatch
from tiles.models.form import FormZone, TileForm
from tiles.models.place import Place
from tiles.models.series import Series
from tiles.vocabulary import Face, Method, ZoneKind


class TileQuerySet(KeptQuerySet):
    """Questions about tiles; each method finishes the sentence "tiles …"."""

    def numbered(self, text: str) -> Self:
        """The tile of a typed number, check digit and all; raises ValueError with what is wrong."""
        return self.filter(number=numbers.read(text))

    def for_lists(self) -> Self:
        """Tiles with what a list shows of them."""
        return self.select_related("body", "form", "series")

    def with_layers(self) -> Self:
        """Tiles with their zones and layers, in four queries whatever their number."""
        return self.prefetch_related("zones", "layers__glaze", "layers__batch", "layers__coverages")

    def unplaced(self) -> Self:
        """Tiles that no firing has or had."""
        return self.filter(~Exists(Placement.objects.filter(tile=OuterRef("pk"))))

    def with_unfired_layers(self) -> Self:
        """Tiles with a layer that no firing has had since: unfired ones, and those glazed again for a refiring.

        The layers are gone through once; asked of each tile it takes five times as long.
        """
        since = Placement.objects.filter(tile=OuterRef("tile"), sequence__gt=OuterRef("after_firings"))
        return self.filter(pk__in=Layer.objects.order_by().filter(~Exists(since)).values("tile"))

    def in_firing(self, firing: Firing) -> Self:
        return self.filter(placements__firing=firing)

    def next_number(self) -> int:
        """One more than the highest number ever given, the bin included: a number is incised in clay once."""
        highest = self.model.everything.aggregate(highest=models.Max("number"))["highest"]
        return (highest or numbers.FIRST - 1) + 1


TileManager = InUseManager.from_queryset(TileQuerySet)


class Tile(Kept):
    """One clay test tile. `number` is without its check digit; `label` is what is incised."""

    number = models.PositiveIntegerField(unique=True)
    form = models.ForeignKey(TileForm, models.PROTECT, related_name="tiles")
    body = models.ForeignKey(ClayBody, models.PROTECT, related_name="tiles")
    body_lot = models.CharField("lot of the body", max_length=40, blank=True)
    bisque_firing = models.ForeignKey(
        Firing, models.PROTECT, null=True, blank=True, related_name="bisqued_tiles"
    )
    series = models.ForeignKey(Series, models.PROTECT, null=True, blank=True, related_name="tiles")
    # What the recorder had in mind for it; the firing it goes into decides.
    planned_order = models.PositiveSmallIntegerField("planned for cone", null=True, blank=True)
    planned_atmosphere = models.CharField(
        "planned for", max_length=10, choices=Atmosphere.choices(), blank=True
    )
    planned_hold_min = models.PositiveSmallIntegerField("planned hold, min", null=True, blank=True)
    glazed_on = models.DateField(null=True, blank=True)
    glazed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    # Where it is kept while it hangs on no board.
    place = models.ForeignKey(
        Place, models.SET_NULL, null=True, blank=True, verbose_name="kept in", related_name="tiles"
    )
    note = models.TextField(blank=True)

    objects = TileManager()
    everything = models.Manager()
    history = HistoricalRecords()

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.CheckConstraint(condition=Q(number__range=(1, 9_999_999)), name="tile_number_in_range"),
            models.CheckConstraint(
                condition=Q(planned_order__isnull=True) | Q(planned_order__range=(1, 38)),
                name="tile_planned_order_in_series",
            ),
            one_of("planned_atmosphere", Atmosphere, blank=True),
            within("planned_hold_min", 0, 6000),
        ]

    def __str__(self) -> str:
        return self.label

    @property
    def label(self) -> str:
        """The tile number with its check digit, such as 1042-9."""
        return numbers.write(self.number)

    def get_absolute_url(self) -> str:
        return reverse("tiles:recording:tile", args=[self.label])


class Zone(models.Model):
    """A part of a tile with one recipe of coats. Name and texture are the form's as they were at making."""

    tile = models.ForeignKey(Tile, models.CASCADE, related_name="zones")
    form_zone = models.ForeignKey(FormZone, models.PROTECT, related_name="+")
    position = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=30)
    kind = models.CharField(max_length=8, choices=ZoneKind.choices())
    face = models.CharField(max_length=5, choices=Face.choices(), default=Face.FRONT.value)
    textured = models.BooleanField(default=False)
    area_cm2 = models.DecimalField(max_digits=8, decimal_places=2)

    class Meta:
        ordering = ["tile", "position"]
        constraints = [
            models.UniqueConstraint(fields=["tile", "position"], name="zone_position_once"),
            models.UniqueConstraint(fields=["tile", "name"], name="zone_name_once"),
            one_of("kind", ZoneKind),
            one_of("face", Face),
            models.CheckConstraint(condition=Q(area_cm2__gt=0), name="zone_has_area"),
        ]

    def __str__(self) -> str:
        return self.name


class Layer(models.Model):
    """One glaze laid over some zones. Position 1 is the bottom; `after_firings` tells a layer put on for a refiring:
    it is the number of glaze firings the tile had already been through."""

    tile = models.ForeignKey(Tile, models.CASCADE, related_name="layers")
    position = models.PositiveSmallIntegerField()
    glaze = models.ForeignKey(Glaze, models.PROTECT, related_name="layers")
    batch = models.ForeignKey(GlazeBatch, models.PROTECT, null=True, blank=True, related_name="layers")
    method = models.CharField(max_length=8, choices=Method.choices(), default=Method.BRUSH.value)
    tool = models.CharField("brush or tool", max_length=40, blank=True)
    specific_gravity = models.DecimalField(
        "specific gravity when used", max_digits=4, decimal_places=3, null=True, blank=True
    )
    after_firings = models.PositiveSmallIntegerField(default=0)
    history = HistoricalRecords()

    class Meta:
        ordering = ["tile", "position"]
        constraints = [
            models.UniqueConstraint(fields=["tile", "position"], name="layer_position_once"),
            models.CheckConstraint(condition=Q(position__gte=1), name="layer_position_from_one"),
            one_of("method", Method),
            within("specific_gravity", 1, 2.5),
        ]

    def __str__(self) -> str:
        return f"{self.glaze} {self.get_method_display()}"


class Coverage(models.Model):
    """How much of a layer lies on a zone: coats, or seconds where it was dipped."""

    layer = models.ForeignKey(Layer, models.CASCADE, related_name="coverages")
    zone = models.ForeignKey(Zone, models.CASCADE, related_name="coverages")
    coats = models.PositiveSmallIntegerField(null=True, blank=True)
    dip_s = models.DecimalField("dip, s", max_digits=5, decimal_places=1, null=True, blank=True)
    wet_mass_g = models.DecimalField("wet mass, g", max_digits=7, decimal_places=2, null=True, blank=True)
    thickness_mm = models.DecimalField("thickness, mm", max_digits=4, decimal_places=2, null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["layer", "zone"]
        constraints = [
            models.UniqueConstraint(fields=["layer", "zone"], name="coverage_once"),
            models.CheckConstraint(
                condition=(Q(coats__gte=1, coats__lte=20, dip_s__isnull=True))
                | (Q(coats__isnull=True, dip_s__gt=0, dip_s__lte=600)),
                name="coverage_is_coats_or_seconds",
            ),
            within("wet_mass_g", 0, 5000),
            within("thickness_mm", 0, 50),
        ]

    def __str__(self) -> str:
        return f"×{self.coats}" if self.coats else f"{self.dip_s:g} s"


class PlacementQuerySet(models.QuerySet["Placement"]):
    """Questions about places in firings."""

    def by_shelf(self) -> Self:
        """In the order one unloads: top shelf first, then by tile number."""
        return self.select_related("tile__body", "tile__form", "shelf").order_by(
            models.F("shelf__position").desc(nulls_last=True), "tile__number"
        )


class Placement(models.Model):
    """A tile in a firing. `sequence` counts the tile's glaze firings: a tile may be refired.

    `x_mm` and `y_mm` are its corner from the shelf's back left, where it is known to the millimetre; `place` is the
    same in words then. `proposed` tells a place that was worked out from one that a person chose.
    """

    tile = models.ForeignKey(Tile, models.CASCADE, related_name="placements")
    firing = models.ForeignKey(Firing, models.PROTECT, related_name="placements")
    sequence = models.PositiveSmallIntegerField(default=1)
    shelf = models.ForeignKey(Shelf, models.PROTECT, null=True, blank=True, related_name="placements")
    place = models.CharField("place on the shelf", max_length=40, blank=True)
    x_mm = models.PositiveSmallIntegerField("from the left, mm", null=True, blank=True)
    y_mm = models.PositiveSmallIntegerField("from the back, mm", null=True, blank=True)
    on_cookie = models.BooleanField("on a cookie", default=False)
    proposed = models.BooleanField("place as proposed", default=False)
    history = HistoricalRecords()

    objects = PlacementQuerySet.as_manager()

    class Meta:
        ordering = ["tile", "sequence"]
        constraints = [
            models.UniqueConstraint(fields=["tile", "firing"], name="placement_once_a_firing"),
            models.UniqueConstraint(fields=["tile", "sequence"], name="placement_sequence_once"),
            models.CheckConstraint(condition=Q(sequence__gte=1), name="placement_sequence_from_one"),
            models.CheckConstraint(
                condition=Q(x_mm__isnull=True, y_mm__isnull=True)
                | Q(x_mm__isnull=False, y_mm__isnull=False, shelf__isnull=False),
                name="placement_spot_lies_on_a_shelf",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.tile} in {self.firing}"
