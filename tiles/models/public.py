"""What a keeper made public, and under which address."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone
from simple_history.models import HistoricalRecords

from tiles.models.board import Board
from tiles.models.catalogue import Glaze
from tiles.models.tile import Tile


class PublicPageQuerySet(models.QuerySet["PublicPage"]):
    """Questions about public pages."""

    def standing(self) -> "PublicPageQuerySet":
        """Pages that can be opened now: not withdrawn, and of nothing in the bin."""
        gone = (
            Q(tile__binned_at__isnull=False)
            | Q(glaze__binned_at__isnull=False)
            | Q(board__binned_at__isnull=False)
        )
        return self.filter(withdrawn_at__isnull=True).exclude(gone)


class PublicPage(models.Model):
    """A tile, a glaze's range sheet or a board that anybody with its address may look at.

    `query` says which range sheet of the glaze. A page that is withdrawn keeps its address, so that a printed code
    works again when it is made public once more.
    """

    token = models.CharField(max_length=32, unique=True, editable=False)
    tile = models.ForeignKey(Tile, models.CASCADE, null=True, blank=True, related_name="public_pages")
    glaze = models.ForeignKey(Glaze, models.CASCADE, null=True, blank=True, related_name="public_pages")
    query = models.CharField(max_length=300, blank=True)
    board = models.ForeignKey(Board, models.CASCADE, null=True, blank=True, related_name="public_pages")
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, editable=False, related_name="+"
    )
    withdrawn_at = models.DateTimeField(null=True, blank=True, editable=False)

    objects = PublicPageQuerySet.as_manager()
    history = HistoricalRecords()

    class Meta:
        ordering = ["-made_at"]
        default_permissions = ("view",)
        permissions = [("publish", "Can make pages public")]
        constraints = [
            models.CheckConstraint(
                condition=Q(tile__isnull=False, glaze__isnull=True, board__isnull=True, query="")
                | Q(tile__isnull=True, glaze__isnull=False, board__isnull=True)
                | Q(tile__isnull=True, glaze__isnull=True, board__isnull=False, query=""),
                name="publicpage_of_one_thing",
            ),
            models.UniqueConstraint(
                fields=["tile"], condition=Q(tile__isnull=False), name="publicpage_tile_once"
            ),
            models.UniqueConstraint(
                fields=["glaze", "query"], condition=Q(glaze__isnull=False), name="publicpage_sheet_once"
            ),
            models.UniqueConstraint(
                fields=["board"], condition=Q(board__isnull=False), name="publicpage_board_once"
            ),
        ]

    def __str__(self) -> str:
        if self.tile_id:
            return f"tile {self.tile}"
        return f"range sheet of {self.glaze}" if self.glaze_id else f"board {self.board}"
