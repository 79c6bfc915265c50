"""Saved searches: a name for an address's query."""

from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse
from simple_history.models import HistoricalRecords

from firings.models import User
from firings.models.kept import InUseManager, Kept, KeptQuerySet, unique_while_kept


class SavedSearchQuerySet(KeptQuerySet):
    """Questions about saved searches."""

    def for_person(self, person: User) -> Self:
        """What a person may open: their own, then those the others share, each by name."""
        own = models.Case(models.When(owner=person, then=0), default=1)
        return self.filter(SavedSearch.open_to(person)).select_related("owner").order_by(own, "name", "pk")


SavedSearchManager = InUseManager.from_queryset(SavedSearchQuerySet)


class SavedSearch(Kept):
    """A search somebody wants to come back to. The query string is the search."""

    name = models.CharField(max_length=80)
    query = models.TextField()
    owner = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="saved_searches")
    shared = models.BooleanField("for everyone in the studio", default=False)

    objects = SavedSearchManager()
    everything = models.Manager()
    history = HistoricalRecords()

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "saved searches"
        constraints = [unique_while_kept("owner", "lower:name", name="savedsearch_name_once")]

    def __str__(self) -> str:
        return self.name

    @classmethod
    def open_to(cls, person: User) -> Q:
        """One's own, and what others share."""
        return Q(owner=person.pk) | Q(shared=True)

    @classmethod
    def changeable_by(cls, person: User) -> Q:
        """One's own; who may delete any, as a keeper, also what others share, as people leave."""
        own = Q(owner=person.pk)
        return own | Q(shared=True) if person.has_perm("tiles.delete_savedsearch") else own

    @property
    def address(self) -> str:
        """The search itself."""
        return f"{reverse('tiles:search:results')}?{self.query}"
