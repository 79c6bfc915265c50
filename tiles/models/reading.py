"""What was measured on a glaze batch, day by day."""

from typing import Self

from django.db import models
from django.db.models import Q
from django.urls import reverse
from simple_history.models import HistoricalRecords

from firings.models.constraints import one_of, within
from firings.models.kept import InUseManager, Kept, KeptQuerySet
from tiles.conditions.line import date_words
from tiles.models.catalogue import GlazeBatch
from tiles.vocabulary import FlowCup


class BatchReadingQuerySet(KeptQuerySet):
    """Questions about readings of batches."""

    def in_time(self) -> Self:
        """Oldest first, those of a day as they were written down."""
        return self.select_related("created_by").order_by("taken_on", "pk")


BatchReadingManager = InUseManager.from_queryset(BatchReadingQuerySet)


class BatchReading(Kept):
    """A slop as it was one day: how heavy, how it flows, what was added. `created_by` took the reading."""

    batch = models.ForeignKey(GlazeBatch, models.CASCADE, related_name="readings")
    taken_on = models.DateField("day")
    specific_gravity = models.DecimalField(
        "specific gravity", max_digits=4, decimal_places=3, null=True, blank=True
    )
    flow_s = models.DecimalField("flow time, s", max_digits=5, decimal_places=1, null=True, blank=True)
    flow_cup = models.CharField("flow cup", max_length=8, choices=FlowCup.choices(), blank=True)
    temp_c = models.DecimalField(
        "temperature of the slop, °C", max_digits=4, decimal_places=1, null=True, blank=True
    )
    water_ml = models.DecimalField("water added, ml", max_digits=7, decimal_places=1, null=True, blank=True)
    note = models.TextField(blank=True)

    objects = BatchReadingManager()
    everything = models.Manager()
    history = HistoricalRecords()

    class Meta:
        ordering = ["batch", "taken_on", "pk"]
        verbose_name = "reading of a batch"
        verbose_name_plural = "readings of batches"
        constraints = [
            one_of("flow_cup", FlowCup, blank=True),
            within("specific_gravity", 1, 2.5),
            within("flow_s", 1, 999),
            within("temp_c", 0, 60),
            within("water_ml", 0, 99_999),
            models.CheckConstraint(
                condition=Q(flow_s__isnull=True) | ~Q(flow_cup=""), name="batchreading_flow_names_its_cup"
            ),
            models.CheckConstraint(
                condition=Q(specific_gravity__isnull=False)
                | Q(flow_s__isnull=False)
                | Q(water_ml__isnull=False)
                | ~Q(note=""),
                name="batchreading_says_something",
            ),
        ]

    def __str__(self) -> str:
        return date_words(self.taken_on)

    def get_absolute_url(self) -> str:
        return reverse("tiles:laydown:batch", args=[self.batch_id])
