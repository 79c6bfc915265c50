"""Saved searches: a name for an address's query."""

from django.conf import settings
from django.db import models
from simple_history.models import HistoricalRecords

from firings.models.kept import Kept, KeptManager


class SavedSearch(Kept):
    """A search somebody wants to come back to. The query string is the search."""

    name = models.CharField(max_length=80)
    query = models.TextField()
    owner = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="saved_searches")
    shared = models.BooleanField("for everyone in the studio", default=False)

    objects = KeptManager()
    everything = models.Manager()
    history = HistoricalRecords()

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "saved searches"

    def __str__(self) -> str:
        return self.name
