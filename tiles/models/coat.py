"""The coats that were put on a tile while it is being glazed, one by one."""

from django.conf import settings
from django.db import models
from simple_history.models import HistoricalRecords

from firings.models.constraints import within
from tiles.models.tile import Layer


class CoatLaid(models.Model):
    """One coat of a layer, on all the zones that take it, and when it was put on: drying is reckoned from there.

    It tells how far a tile has come while somebody glazes it; what lies on the tile is what its coverages say.
    """

    layer = models.ForeignKey(Layer, models.CASCADE, related_name="coats_laid")
    number = models.PositiveSmallIntegerField()
    laid_at = models.DateTimeField()
    laid_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    history = HistoricalRecords()

    class Meta:
        ordering = ["layer", "number"]
        verbose_name = "coat put on"
        verbose_name_plural = "coats put on"
        constraints = [
            models.UniqueConstraint(fields=["layer", "number"], name="coat_laid_once"),
            within("number", 1, 20),
        ]

    def __str__(self) -> str:
        return f"coat {self.number} of {self.layer}"
