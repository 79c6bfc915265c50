"""What sorting and filing ask of the database."""

from datetime import datetime

from django.db.models import Q, QuerySet

from firings.vocabulary import FIRED
from tiles.models import Photo, PhotoFiling, Placement, Tile


def in_tray() -> QuerySet[Photo]:
    """Photos that wait to be filed, in the order they were taken."""
    return Photo.objects.unfiled().select_related("stored_by")


def filings_of(photo: Photo) -> QuerySet[PhotoFiling]:
    """Which tiles a photo shows, with what is written beside it."""
    return photo.filings.filter(tile__binned_at__isnull=True).select_related(
        "tile", "zone", "placement__firing", "filed_by"
    )


def placement_shown(tile: Tile, taken_at: datetime | None) -> Placement | None:
    """The firing whose result a photo of this tile shows, where that follows from what is known.

    A tile that was fired again looks as it does after its last firing before the shutter opened. When the camera
    did not say when that was, only a tile with a single firing behind it leaves no doubt.
    """
    fired = tile.placements.filter(firing__state__in=FIRED, firing__binned_at__isnull=True)
    if taken_at is None:
        found = list(fired[:2])
        return found[0] if len(found) == 1 else None
    before = Q(firing__started_at__isnull=True) | Q(firing__started_at__lte=taken_at)
    return fired.filter(before).order_by("-sequence").first()
