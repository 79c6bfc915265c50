"""A logged curve: the logger's file as it came, what was read from it, and what its heat work came to."""

from typing import Any, Self

from django.db import models
from django.db.models import OuterRef, Q, Subquery
from django.utils import timezone
from simple_history.models import HistoricalRecords

from firings.models.firing import Firing

# Of a firing's curves the one that was brought in, or chosen, last counts; the one rule for it.
THE_COUNTING_ONE_FIRST = ("-counts_since", "-pk")


class CurveQuerySet(models.QuerySet["Curve"]):
    """Questions about curves; each method finishes the sentence "curves …"."""

    def counting(self) -> Self:
        """Curves that count for their firing: one of each."""
        of_firing = Curve.objects.filter(firing=OuterRef("firing")).order_by(*THE_COUNTING_ONE_FIRST)
        return self.filter(pk=Subquery(of_firing.values("pk")[:1]))


class Curve(models.Model):
    """Temperatures over one firing; of several, the first in this order counts.

    `samples` holds little-endian float32 columns, times in seconds from the start first, then one column of °C a
    sensor, each `sample_count` long and the whole compressed with zlib. `read_as` says how the file was understood.
    """

    firing = models.ForeignKey(Firing, models.CASCADE, related_name="curves")
    original_name = models.CharField(max_length=200)
    original_sha256 = models.CharField(max_length=64)
    started_at = models.DateTimeField(null=True, blank=True)
    sensors = models.JSONField(default=list)
    sample_count = models.PositiveIntegerField()
    samples = models.BinaryField()
    read_as = models.JSONField(default=dict)
    # When it was brought in, or chosen to count.
    counts_since = models.DateTimeField(default=timezone.now)
    # What the heat work came to by the sensor as it reads, so that lists need not sum it again: decimal cones, their
    # bounds, warnings. A kiln's own correction is learned from this.
    heat = models.JSONField(default=dict, blank=True)
    # The same with the sensor put right by the kiln's witness cones in earlier firings; empty where they are too few.
    corrected = models.JSONField(default=dict, blank=True)
    history = HistoricalRecords(excluded_fields=["samples"])

    objects = CurveQuerySet.as_manager()

    class Meta:
        ordering = ["firing", *THE_COUNTING_ONE_FIRST]
        constraints = [
            models.CheckConstraint(condition=Q(sample_count__gte=2), name="curve_has_points"),
            models.UniqueConstraint(fields=["firing", "original_sha256"], name="curve_file_once"),
        ]

    def __str__(self) -> str:
        return self.original_name

    @property
    def counted(self) -> dict[str, Any]:
        """The heat work that counts for the reached cone."""
        return self.corrected or self.heat
