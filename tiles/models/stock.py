"""Label stock the studio buys, described by its numbers."""

from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from firings.models.constraints import within
from firings.models.kept import Kept, KeptManager, unique_while_kept


class LabelStock(Kept):
    """A sheet of labels in millimetres. The pitch is from one label's edge to the next one's."""

    name = models.CharField(max_length=80)
    sheet_width_mm = models.DecimalField("sheet width, mm", max_digits=6, decimal_places=2)
    sheet_height_mm = models.DecimalField("sheet height, mm", max_digits=6, decimal_places=2)
    columns = models.PositiveSmallIntegerField()
    rows = models.PositiveSmallIntegerField()
    label_width_mm = models.DecimalField("label width, mm", max_digits=6, decimal_places=2)
    label_height_mm = models.DecimalField("label height, mm", max_digits=6, decimal_places=2)
    margin_left_mm = models.DecimalField("left margin, mm", max_digits=6, decimal_places=2)
    margin_top_mm = models.DecimalField("top margin, mm", max_digits=6, decimal_places=2)
    pitch_x_mm = models.DecimalField("pitch across, mm", max_digits=6, decimal_places=2)
    pitch_y_mm = models.DecimalField("pitch down, mm", max_digits=6, decimal_places=2)
    corner_radius_mm = models.DecimalField("corner radius, mm", max_digits=4, decimal_places=2, default=0)

    objects = KeptManager()
    everything = models.Manager()
    history = HistoricalRecords()

    class Meta:
        ordering = ["name"]
        constraints = [
            unique_while_kept("lower:name", name="labelstock_name_once"),
            within("sheet_width_mm", 10, 2000),
            within("sheet_height_mm", 10, 5000),
            models.CheckConstraint(
                condition=Q(columns__range=(1, 50), rows__range=(1, 100)), name="labelstock_has_labels"
            ),
            models.CheckConstraint(
                condition=Q(columns=1) | Q(pitch_x_mm__gte=F("label_width_mm")),
                name="labelstock_apart_across",
            ),
            models.CheckConstraint(
                condition=Q(rows=1) | Q(pitch_y_mm__gte=F("label_height_mm")), name="labelstock_apart_down"
            ),
        ]

    def __str__(self) -> str:
        return self.name
