"""Where this studio's photographs lie, and which of them nobody has looked at yet."""

from datetime import timedelta
from pathlib import Path

from django.conf import settings
from django.db.models import QuerySet
from django.utils import timezone

from tiles.models import Photo
from tiles.photos.accept import EXTENSIONS
from tiles.photos.store import PhotoStore


def photo_store() -> PhotoStore:
    """This studio's photographs on disk."""
    return PhotoStore(Path(settings.PHOTO_DIR))


def original_path(photo: Photo) -> Path:
    """Where a photo's original lies."""
    return photo_store().original(photo.sha256, EXTENSIONS[photo.format])


def not_looked_at(since: timedelta = timedelta(0)) -> QuerySet[Photo]:
    """Photos that were stored so long ago and have not been looked at."""
    return Photo.objects.filter(looked_at__isnull=True, stored_at__lte=timezone.now() - since)
