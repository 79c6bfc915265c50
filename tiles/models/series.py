"""A series: tiles made together to answer one question."""

from django.db import models
from django.urls import reverse
from simple_history.models import HistoricalRecords

from firings.models.constraints import one_of
from firings.models.kept import Kept, KeptManager, unique_while_kept
from tiles.vocabulary import SeriesState


class Series(Kept):
    """Tiles made together to answer one question. `plan` holds the factors and levels it was planned from."""

    name = models.CharField(max_length=80)
    question = models.TextField("what it should answer", blank=True)
    state = models.CharField(max_length=8, choices=SeriesState.choices(), default=SeriesState.PLANNED.value)
    plan = models.JSONField(default=dict, blank=True, editable=False)
    note = models.TextField(blank=True)

    objects = KeptManager()
    everything = models.Manager()
    history = HistoricalRecords()

    class Meta:
        ordering = ["-created_at", "name"]
        verbose_name_plural = "series"
        constraints = [
            unique_while_kept("lower:name", name="series_name_once"),
            one_of("state", SeriesState),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("tiles:recording:series", args=[self.pk])
