"""Witness cones: which, where in the kiln, how far bent."""

from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from firings.cones import series
from firings.models.constraints import CONE_ORDERS, one_of
from firings.models.firing import Firing
from firings.models.kiln import Shelf
from firings.vocabulary import ConeShape


class WitnessCone(models.Model):
    """One cone by the ware. Unread until `bend_deg` is given: 0 upright, 90 tip level with the base.

    Cones of one shelf and place stand together in one wad of clay; `x_mm` and `y_mm` are its back left corner.
    """

    firing = models.ForeignKey(Firing, models.CASCADE, related_name="witness_cones")
    order = models.PositiveSmallIntegerField("cone")
    shape = models.CharField(
        max_length=16, choices=ConeShape.choices(), default=ConeShape.SELF_SUPPORTING.value
    )
    shelf = models.ForeignKey(Shelf, models.SET_NULL, null=True, blank=True, related_name="+")
    place = models.CharField(max_length=40, blank=True)
    x_mm = models.PositiveSmallIntegerField("from the left, mm", null=True, blank=True)
    y_mm = models.PositiveSmallIntegerField("from the back, mm", null=True, blank=True)
    bend_deg = models.PositiveSmallIntegerField("bend, degrees", null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["firing", "shelf", "order"]
        constraints = [
            models.CheckConstraint(condition=Q(order__range=CONE_ORDERS), name="witnesscone_order_in_series"),
            models.CheckConstraint(
                condition=Q(bend_deg__isnull=True) | Q(bend_deg__lte=180), name="witnesscone_bend_plausible"
            ),
            one_of("shape", ConeShape),
        ]

    def __str__(self) -> str:
        return f"cone {series.label_of(self.order)}"
