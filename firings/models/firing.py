"""A firing: what was planned, what was done, and the cone the ware really saw."""

from decimal import Decimal
from typing import Self

from django.db import models
from django.db.models import Q
from django.urls import reverse
from simple_history.models import HistoricalRecords

from firings.cones import series
from firings.models.constraints import is_cone, one_of, within
from firings.models.kept import InUseManager, Kept, KeptQuerySet
from firings.models.kiln import Kiln
from firings.models.programme import Programme
from firings.vocabulary import Atmosphere, FiringState, Purpose, ReachedSource


class FiringQuerySet(KeptQuerySet):
    """Questions about firings; each method finishes the sentence "firings …"."""

    def for_lists(self) -> Self:
        """Firings with what a list shows of them."""
        return self.select_related("kiln", "programme")

    def in_state(self, *states: FiringState) -> Self:
        return self.filter(state__in=[state.value for state in states])

    def glazing(self) -> Self:
        """Glaze firings."""
        return self.filter(purpose=Purpose.GLAZE.value)

    def next_number(self) -> int:
        """One more than the highest number ever given, the bin included."""
        highest = self.model.everything.aggregate(highest=models.Max("number"))["highest"]
        return (highest or 0) + 1


FiringManager = InUseManager.from_queryset(FiringQuerySet)


class Firing(Kept):
    """One firing of one kiln.

    `target_order` and `reached_order` are ranks in the published cone series, the latter the cone that the firing
    counts as (firings/heatwork/counted.py). `reached_number` is the decimal cone on the scale where whole cones are one
    apart (6 is 6.0, 01 is 0.0, 04 is -3.0). `reached_*` has one writer, `firings.logbook.services.settle_reached_cone`.
    """

    number = models.PositiveIntegerField(unique=True)
    kiln = models.ForeignKey(Kiln, models.PROTECT, related_name="firings")
    programme = models.ForeignKey(Programme, models.PROTECT, null=True, blank=True, related_name="firings")
    purpose = models.CharField(max_length=10, choices=Purpose.choices(), default=Purpose.GLAZE.value)
    state = models.CharField(max_length=10, choices=FiringState.choices(), default=FiringState.PLANNED.value)
    target_order = models.PositiveSmallIntegerField("target cone", null=True, blank=True)
    atmosphere = models.CharField(
        max_length=10, choices=Atmosphere.choices(), default=Atmosphere.OXIDATION.value
    )
    hold_min = models.PositiveIntegerField("hold at the top, min", default=0)
    started_at = models.DateTimeField("fired on", null=True, blank=True)
    ended_at = models.DateTimeField("switched off", null=True, blank=True)
    unloaded_at = models.DateTimeField("unloaded", null=True, blank=True)
    energy_kwh = models.DecimalField("energy, kWh", max_digits=8, decimal_places=2, null=True, blank=True)
    cost = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True)
    controller_number = models.DecimalField(
        "cone by the controller", max_digits=5, decimal_places=2, null=True, blank=True
    )
    reached_number = models.DecimalField(max_digits=5, decimal_places=2, null=True, editable=False)
    reached_order = models.PositiveSmallIntegerField(null=True, editable=False)
    reached_source = models.CharField(
        max_length=10, choices=ReachedSource.choices(), blank=True, editable=False
    )
    note = models.TextField(blank=True)

    objects = FiringManager()
    everything = models.Manager()
    history = HistoricalRecords()

    class Meta:
        ordering = ["-number"]
        constraints = [
            one_of("purpose", Purpose),
            one_of("state", FiringState),
            one_of("atmosphere", Atmosphere),
            one_of("reached_source", ReachedSource, blank=True),
            is_cone("target_order"),
            is_cone("reached_order"),
            within("hold_min", 0, 6000),
            within("energy_kwh", 0, 100000),
            models.CheckConstraint(condition=Q(number__gte=1), name="firing_number_from_one"),
            models.CheckConstraint(
                condition=Q(started_at__isnull=True)
                | Q(ended_at__isnull=True)
                | Q(ended_at__gte=models.F("started_at")),
                name="firing_ends_after_start",
            ),
            models.CheckConstraint(
                condition=Q(reached_number__isnull=True, reached_order__isnull=True, reached_source="")
                | (Q(reached_number__isnull=False, reached_order__isnull=False) & ~Q(reached_source="")),
                name="firing_reached_has_source",
            ),
        ]

    def __str__(self) -> str:
        return self.label

    @property
    def label(self) -> str:
        """The firing's number as written on sheets, such as F-0231."""
        return f"F-{self.number:04d}"

    @property
    def target_label(self) -> str:
        return series.label_of(self.target_order) if self.target_order else ""

    @property
    def reached_words(self) -> str:
        """The reached cone as a decimal in words, such as 5.8; empty before the firing."""
        return series.number_words(Decimal(self.reached_number)) if self.reached_number is not None else ""

    @property
    def reached_source_label(self) -> str:
        return ReachedSource.label_of(self.reached_source)

    def get_absolute_url(self) -> str:
        return reverse("firings:logbook:firing", args=[self.number])


class FiringNote(models.Model):
    """What was seen or done at a moment of the firing."""

    firing = models.ForeignKey(Firing, models.CASCADE, related_name="notes")
    at = models.DateTimeField("when")
    text = models.TextField()
    history = HistoricalRecords()

    class Meta:
        ordering = ["firing", "at"]

    def __str__(self) -> str:
        return self.text[:60]
