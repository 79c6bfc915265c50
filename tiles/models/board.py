"""Wall boards of tiles and their slots."""

from django.db import models
from django.db.models import Q
from django.urls import reverse
from simple_history.models import HistoricalRecords

from firings.models.kept import Kept, KeptManager, unique_while_kept
from tiles.models.tile import Tile


class Board(Kept):
    """A wall board: rows and columns of slots."""

    name = models.CharField(max_length=80)
    rows = models.PositiveSmallIntegerField(default=4)
    columns = models.PositiveSmallIntegerField(default=6)
    # How it was laid out by rule: what stands across and down, with the levels that head its rows and columns.
    rule = models.JSONField(default=dict, blank=True, editable=False)
    note = models.TextField(blank=True)

    objects = KeptManager()
    everything = models.Manager()
    history = HistoricalRecords()

    class Meta:
        ordering = ["name"]
        constraints = [
            unique_while_kept("lower:name", name="board_name_once"),
            models.CheckConstraint(
                condition=Q(rows__range=(1, 60), columns__range=(1, 60)), name="board_has_slots"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("tiles:boards:board", args=[self.pk])


class BoardSlot(models.Model):
    """A place on a board, counted from the upper left, with the tile that hangs there or a note of what should."""

    board = models.ForeignKey(Board, models.CASCADE, related_name="slots")
    row = models.PositiveSmallIntegerField()
    column = models.PositiveSmallIntegerField()
    tile = models.ForeignKey(Tile, models.SET_NULL, null=True, blank=True, related_name="board_slots")
    wanted = models.CharField(max_length=200, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["board", "row", "column"]
        constraints = [
            models.UniqueConstraint(fields=["board", "row", "column"], name="boardslot_once"),
            models.UniqueConstraint(
                fields=["tile"], condition=Q(tile__isnull=False), name="boardslot_tile_hangs_once"
            ),
            models.CheckConstraint(condition=Q(row__gte=1, column__gte=1), name="boardslot_from_one"),
        ]

    def __str__(self) -> str:
        return f"row {self.row}, column {self.column}"
