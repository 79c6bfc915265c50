"""Photographs: the original as it came, and which tiles it shows."""

from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone
from simple_history.models import HistoricalRecords

from firings.models import Firing
from firings.models.constraints import one_of
from firings.models.kept import InUseManager, Kept, KeptQuerySet
from tiles.models.tile import Placement, Tile, Zone
from tiles.vocabulary import FiledBy


class PhotoQuerySet(KeptQuerySet):
    """Questions about photos; each method finishes the sentence "photos …"."""

    def unfiled(self) -> Self:
        """Photos in the sorting tray, oldest first."""
        return self.filter(filings__isnull=True).order_by("taken_at", "stored_at")

    def of_tile(self, tile: Tile) -> Self:
        return self.filter(filings__tile=tile)


PhotoManager = InUseManager.from_queryset(PhotoQuerySet)


class Photo(Kept):
    """One stored picture, named by the hash of its bytes: the same photo sent twice is one photo.

    A row exists only after its file is on the disk. `width` and `height` are upright, in pixels.
    """

    sha256 = models.CharField(max_length=64, unique=True)
    format = models.CharField(max_length=8)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    byte_count = models.PositiveBigIntegerField()
    original_name = models.CharField(max_length=200, blank=True)
    taken_at = models.DateTimeField(null=True, blank=True)
    stored_at = models.DateTimeField(default=timezone.now)
    stored_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    # The firing on whose page it was taken or brought in, where it was on one: whose list a photo in the tray goes by.
    sent_from = models.ForeignKey(Firing, models.SET_NULL, null=True, blank=True, related_name="+")
    tray_reason = models.CharField(max_length=200, blank=True)
    # Why a picture that was stored cannot be shown after all: found when all of it was decoded, after the answer.
    damage = models.CharField(max_length=200, blank=True, editable=False)
    # What was found in view: codes, mat, chart, light; null until it has been looked at.
    look = models.JSONField(null=True, blank=True, editable=False)
    looked_at = models.DateTimeField(null=True, blank=True, editable=False)

    objects = PhotoManager()
    everything = models.Manager()
    history = HistoricalRecords(excluded_fields=["look", "looked_at"])

    class Meta:
        ordering = ["-stored_at"]
        constraints = [
            models.CheckConstraint(condition=Q(width__gte=1, height__gte=1), name="photo_has_pixels"),
            models.CheckConstraint(condition=Q(byte_count__gte=1), name="photo_has_bytes"),
        ]

    def __str__(self) -> str:
        return self.original_name or self.sha256[:12]


class PhotoFiling(models.Model):
    """A photo shows this tile, after this firing where that is known. `region` is x, y, width, height as shares."""

    photo = models.ForeignKey(Photo, models.CASCADE, related_name="filings")
    tile = models.ForeignKey(Tile, models.CASCADE, related_name="photo_filings")
    placement = models.ForeignKey(
        Placement, models.SET_NULL, null=True, blank=True, related_name="photo_filings"
    )
    zone = models.ForeignKey(Zone, models.SET_NULL, null=True, blank=True, related_name="photo_filings")
    region = models.JSONField(null=True, blank=True)
    filed_how = models.CharField(max_length=10, choices=FiledBy.choices(), default=FiledBy.HAND.value)
    filed_at = models.DateTimeField(default=timezone.now)
    filed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    history = HistoricalRecords()

    class Meta:
        ordering = ["tile", "placement", "filed_at"]
        constraints = [
            models.UniqueConstraint(fields=["photo", "tile", "placement"], name="photofiling_once_a_firing"),
            models.UniqueConstraint(
                fields=["photo", "tile"], condition=Q(placement__isnull=True), name="photofiling_once_without"
            ),
            one_of("filed_how", FiledBy),
        ]

    def __str__(self) -> str:
        return f"{self.photo} shows {self.tile}"
