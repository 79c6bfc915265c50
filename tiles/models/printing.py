"""What a person means to print, on which printer, and on what is left of which sheet."""

from django.conf import settings
from django.db import models
from django.utils import timezone
from simple_history.models import HistoricalRecords

from firings.models.constraints import within
from firings.models.kept import Kept, KeptManager, unique_while_kept


class Printer(Kept):
    """A printer as it was measured on the ruler page it printed; what it misses by is worked out from these.

    `measured_across_mm` and `measured_down_mm` are the two rulers' lengths on paper; the other two are how far the
    corner mark lies from the paper's left and upper edge. What they should be stands in `tiles.prints.ruler`.
    """

    name = models.CharField(max_length=80)
    measured_across_mm = models.DecimalField(max_digits=6, decimal_places=2)
    measured_down_mm = models.DecimalField(max_digits=6, decimal_places=2)
    measured_left_mm = models.DecimalField(max_digits=6, decimal_places=2)
    measured_top_mm = models.DecimalField(max_digits=6, decimal_places=2)

    objects = KeptManager()
    everything = models.Manager()
    history = HistoricalRecords()

    class Meta:
        ordering = ["name"]
        constraints = [
            unique_while_kept("lower:name", name="printer_name_once"),
            within("measured_across_mm", 50, 500),
            within("measured_down_mm", 50, 500),
            within("measured_left_mm", 0, 100),
            within("measured_top_mm", 0, 100),
        ]

    def __str__(self) -> str:
        return self.name


class PrintHabit(models.Model):
    """The printer a person prints on until they say another."""

    person = models.OneToOneField(settings.AUTH_USER_MODEL, models.CASCADE, related_name="print_habit")
    printer = models.ForeignKey(Printer, models.SET_NULL, null=True, blank=True, related_name="+")

    def __str__(self) -> str:
        return f"{self.person} prints on {self.printer or 'any printer'}"


class UsedSheet(models.Model):
    """A person's part-used sheet of one label stock: the labels that are gone, counted from 1 along the rows."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="used_sheets")
    stock_key = models.CharField(max_length=80)
    used = models.JSONField(default=list, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["person", "stock_key"], name="usedsheet_one_of_a_stock")
        ]

    def __str__(self) -> str:
        return f"{self.person}’s sheet of {self.stock_key}, {len(self.used)} labels gone"


class PrintItem(models.Model):
    """One line of a person's print tray. `keys` name what is printed, in the kind's own way; `options` how; `title` is
    what it was called when it was put in.

    A line that is taken out keeps its row, so that it can be put back where it was.
    """

    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="print_items")
    kind = models.CharField(max_length=40)
    keys = models.JSONField(default=list)
    options = models.JSONField(default=dict, blank=True)
    title = models.CharField(max_length=300, blank=True)
    position = models.PositiveIntegerField()
    added_at = models.DateTimeField(default=timezone.now)
    taken_out_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["position", "pk"]
        indexes = [models.Index(fields=["person", "taken_out_at", "position"], name="printitem_in_tray")]

    def __str__(self) -> str:
        return f"{self.kind}, {self.title}"


class PrintRun(models.Model):
    """A long print that is made in the background: how far it is, and the file when it is done."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="print_runs")
    title = models.CharField(max_length=200)
    asked = models.JSONField(default=list)
    pages = models.PositiveIntegerField(default=0)
    pages_done = models.PositiveIntegerField(default=0)
    notes = models.JSONField(default=list, blank=True)
    trouble = models.TextField(blank=True)
    file_name = models.CharField(max_length=80, blank=True)
    started_at = models.DateTimeField(default=timezone.now)
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-started_at"]

    def __str__(self) -> str:
        return f"{self.title}, {self.pages_done} of {self.pages} pages"
