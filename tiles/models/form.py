"""Tile forms: a shape with named zones, each where it sits in millimetres."""

from django.db import models
from django.urls import reverse
from simple_history.models import HistoricalRecords

from firings.models.constraints import one_of, within
from firings.models.kept import Kept, KeptManager, unique_while_kept
from tiles.vocabulary import Face, FormShape, ZoneKind


class TileForm(Kept):
    """A shape the studio cuts again and again. Sizes are of the dry tile's faces in millimetres."""

    name = models.CharField(max_length=60)
    shape = models.CharField(max_length=10, choices=FormShape.choices(), default=FormShape.FLAT.value)
    upright = models.BooleanField("fired standing", default=True)
    width_mm = models.PositiveSmallIntegerField("width, mm")
    height_mm = models.PositiveSmallIntegerField("height, mm")
    thickness_mm = models.PositiveSmallIntegerField("thickness, mm", default=7)
    note = models.TextField(blank=True)

    objects = KeptManager()
    everything = models.Manager()
    history = HistoricalRecords()

    class Meta:
        ordering = ["name"]
        constraints = [
            unique_while_kept("lower:name", name="tileform_name_once"),
            one_of("shape", FormShape),
            within("width_mm", 10, 1000),
            within("height_mm", 10, 1000),
            within("thickness_mm", 1, 100),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_in_use(self) -> bool:
        """Whether a tile was cut to it, the bin's included: then its zones stay as they are."""
        return self.tiles(manager="everything").exists()

    def get_absolute_url(self) -> str:
        return reverse("tiles:catalogue:form", args=[self.pk])


class FormZone(models.Model):
    """A zone of a form: a rectangle on one face, its corner from the face's upper left."""

    form = models.ForeignKey(TileForm, models.CASCADE, related_name="zones")
    position = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=30)
    kind = models.CharField(max_length=8, choices=ZoneKind.choices(), default=ZoneKind.BAND.value)
    face = models.CharField(max_length=5, choices=Face.choices(), default=Face.FRONT.value)
    textured = models.BooleanField(default=False)
    x_mm = models.DecimalField("from the left, mm", max_digits=6, decimal_places=1)
    y_mm = models.DecimalField("from the top, mm", max_digits=6, decimal_places=1)
    width_mm = models.DecimalField("width, mm", max_digits=6, decimal_places=1)
    height_mm = models.DecimalField("height, mm", max_digits=6, decimal_places=1)

    class Meta:
        ordering = ["form", "position"]
        constraints = [
            models.UniqueConstraint(fields=["form", "position"], name="formzone_position_once"),
            models.UniqueConstraint(fields=["form", "name"], name="formzone_name_once"),
            one_of("kind", ZoneKind),
            one_of("face", Face),
            within("x_mm", 0, 1000),
            within("y_mm", 0, 1000),
            within("width_mm", 1, 1000),
            within("height_mm", 1, 1000),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def area_cm2(self) -> float:
        """The zone's area on the dry tile."""
        return float(self.width_mm * self.height_mm) / 100
