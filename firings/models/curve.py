"""A logged curve: the logger's file as it came, and what was read from it."""

from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from firings.models.firing import Firing


class Curve(models.Model):
    """Temperatures over one firing.

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
    # What the heat work came to, so that lists need not sum it again: decimal cones, their bounds, warnings.
    heat = models.JSONField(default=dict, blank=True)
    history = HistoricalRecords(excluded_fields=["samples"])

    class Meta:
        ordering = ["firing", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(sample_count__gte=2), name="curve_has_points"),
            models.UniqueConstraint(fields=["firing", "original_sha256"], name="curve_file_once"),
        ]

    def __str__(self) -> str:
        return self.original_name
