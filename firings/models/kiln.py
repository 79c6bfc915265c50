"""Kilns and the shelves in them."""

from django.core.validators import MinValueValidator
from django.db import models
from django.urls import reverse
from simple_history.models import HistoricalRecords

from firings.models.constraints import one_of, within
from firings.models.kept import Kept, KeptManager, unique_while_kept
from firings.vocabulary import KilnKind, ShelfShape


class Kiln(Kept):
    """One kiln of the studio."""

    name = models.CharField(max_length=60)
    kind = models.CharField(max_length=10, choices=KilnKind.choices(), default=KilnKind.ELECTRIC.value)
    power_kw = models.DecimalField("power, kW", max_digits=6, decimal_places=2, null=True, blank=True)
    energy_price_per_kwh = models.DecimalField(
        "price of a kWh", max_digits=8, decimal_places=4, null=True, blank=True
    )
    elements_fitted_on = models.DateField("elements fitted on", null=True, blank=True)
    # How this kiln's logger files are read: the columns, unit and clock a person confirmed last.
    logger_reading = models.JSONField(default=dict, blank=True, editable=False)
    note = models.TextField(blank=True)

    objects = KeptManager()
    everything = models.Manager()
    history = HistoricalRecords()

    class Meta:
        ordering = ["name"]
        constraints = [
            unique_while_kept("lower:name", name="kiln_name_once"),
            one_of("kind", KilnKind),
            within("power_kw", 0, 2000),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("firings:kilns:kiln", args=[self.pk])


class Shelf(models.Model):
    """A level in a kiln, counted from the bottom, with the room above it. A round shelf is as deep as wide."""

    kiln = models.ForeignKey(Kiln, models.CASCADE, related_name="shelves")
    position = models.PositiveSmallIntegerField(
        "shelf, counted from the bottom", validators=[MinValueValidator(1)]
    )
    shape = models.CharField(max_length=10, choices=ShelfShape.choices(), default=ShelfShape.RECTANGLE.value)
    width_mm = models.PositiveIntegerField("width, mm", null=True, blank=True)
    depth_mm = models.PositiveIntegerField("depth, mm", null=True, blank=True)
    height_mm = models.PositiveIntegerField("room above, mm", null=True, blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["kiln", "position"]
        verbose_name_plural = "shelves"
        constraints = [
            models.UniqueConstraint(fields=["kiln", "position"], name="shelf_position_once"),
            models.CheckConstraint(condition=models.Q(position__gte=1), name="shelf_position_from_one"),
            one_of("shape", ShelfShape),
            models.CheckConstraint(
                condition=~models.Q(shape=ShelfShape.ROUND.value)
                | models.Q(width_mm__isnull=True, depth_mm__isnull=True)
                | models.Q(depth_mm=models.F("width_mm")),
                name="shelf_round_as_deep_as_wide",
            ),
            within("width_mm", 50, 5000),
            within("depth_mm", 50, 5000),
            within("height_mm", 10, 3000),
        ]

    def __str__(self) -> str:
        return f"shelf {self.position}"
