"""Where tiles lie that hang on no board."""

from django.db import models
from django.urls import reverse
from simple_history.models import HistoricalRecords

from firings.models.constraints import one_of
from firings.models.kept import Kept, KeptManager, unique_while_kept
from tiles.vocabulary import PlaceKind


class Place(Kept):
    """A box, a shelf or a drawer of the studio where tiles are kept."""

    name = models.CharField(max_length=60)
    kind = models.CharField(max_length=8, choices=PlaceKind.choices(), default=PlaceKind.BOX.value)
    note = models.TextField(blank=True)

    objects = KeptManager()
    everything = models.Manager()
    history = HistoricalRecords()

    class Meta:
        ordering = ["name"]
        constraints = [
            unique_while_kept("lower:name", name="place_name_once"),
            one_of("kind", PlaceKind),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("tiles:places:place", args=[self.pk])
