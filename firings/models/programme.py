"""Programmes and their segments. A fired programme is never edited in place: an edit makes its next version."""

from django.db import models
from django.db.models import Q
from django.urls import reverse
from simple_history.models import HistoricalRecords

from firings.models.constraints import within
from firings.models.kept import Kept, KeptManager


class Programme(Kept):
    """A plan of a firing, one version of it."""

    name = models.CharField(max_length=80)
    version = models.PositiveSmallIntegerField(default=1)
    supersedes = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="superseded_by", editable=False
    )
    note = models.TextField(blank=True)

    objects = KeptManager()
    everything = models.Manager()
    history = HistoricalRecords()

    class Meta:
        ordering = ["name", "-version"]
        constraints = [
            models.UniqueConstraint(fields=["name", "version"], name="programme_version_once"),
            models.CheckConstraint(condition=Q(version__gte=1), name="programme_version_from_one"),
        ]

    def __str__(self) -> str:
        return f"{self.name}, version {self.version}" if self.version > 1 else self.name

    def get_absolute_url(self) -> str:
        return reverse("firings:programmes:programme", args=[self.pk])


class Segment(models.Model):
    """One ramp and the hold at its end. No rate means as fast as the kiln can."""

    programme = models.ForeignKey(Programme, models.CASCADE, related_name="segments")
    position = models.PositiveSmallIntegerField()
    rate_c_per_h = models.DecimalField("rate, °C/h", max_digits=6, decimal_places=1, null=True, blank=True)
    target_c = models.DecimalField("to, °C", max_digits=6, decimal_places=1)
    hold_min = models.PositiveIntegerField("hold, min", default=0)

    history = HistoricalRecords()

    class Meta:
        ordering = ["programme", "position"]
        constraints = [
            models.UniqueConstraint(fields=["programme", "position"], name="segment_position_once"),
            models.CheckConstraint(
                condition=Q(rate_c_per_h__isnull=True) | Q(rate_c_per_h__gt=0), name="segment_rate_positive"
            ),
            within("target_c", 0, 1800),
            within("hold_min", 0, 6000),
        ]

    def __str__(self) -> str:
        rate = f"{self.rate_c_per_h:g} °C/h" if self.rate_c_per_h else "as fast as possible"
        return f"{rate} to {self.target_c:g} °C, hold {self.hold_min} min"
