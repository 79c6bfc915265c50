"""What a studio wants to know of every glaze."""

from django.db import models
from django.urls import reverse
from simple_history.models import HistoricalRecords

from firings.models.constraints import one_of
from firings.models.kept import Kept, KeptManager, unique_while_kept
from tiles.vocabulary import GlazeKind


class StudioStandard(Kept):
    """Cones, clay bodies and coats on which every glaze, or every one of a kind, is to be fired alone.

    `levels` holds them as lists of whole numbers: ``{"cones": ranks, "bodies": keys, "coats": coats}``.
    """

    name = models.CharField(max_length=60)
    kind = models.CharField(
        "for", max_length=12, choices=GlazeKind.choices(), default=GlazeKind.GLAZE.value, blank=True
    )
    levels = models.JSONField(default=dict, editable=False)

    objects = KeptManager()
    everything = models.Manager()
    history = HistoricalRecords()

    class Meta:
        ordering = ["name"]
        constraints = [
            unique_while_kept("lower:name", name="studiostandard_name_once"),
            one_of("kind", GlazeKind, blank=True),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("tiles:gaps:standard", args=[self.pk])
