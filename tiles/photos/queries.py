"""Where this studio's photographs lie, and which of them nobody has looked at yet."""

import errno
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from typing import BinaryIO, cast

from django.conf import settings
from django.core.files import File
from django.core.files.storage import Storage, storages
from django.db.models import QuerySet
from django.utils import timezone

from tiles.models import Photo
from tiles.photos.accept import EXTENSIONS
from tiles.photos.store import ObjectStore, PhotoStore


def photo_store() -> PhotoStore:
    """This studio's photographs on disk, and in its object store if it has one."""
    return PhotoStore(Path(settings.PHOTO_DIR), object_store())


def object_store() -> ObjectStore | None:
    """Where the studio keeps its originals beyond this machine; None where it does not."""
    return Beyond(storages["originals"]) if "originals" in settings.STORAGES else None


class Beyond:
    """An object store behind the framework's interface. Whatever its driver raises comes out as OSError."""

    def __init__(self, storage: Storage) -> None:
        self.storage = storage

    def put(self, name: str, place: Path) -> None:
        """Keep the file; when this returns it is kept."""
        with _as_disk_trouble(), place.open("rb") as file:
            self.storage.save(name, File(file))

    def open(self, name: str) -> BinaryIO:
        """The file to be read; FileNotFoundError where there is none."""
        with _as_disk_trouble():
            return cast(BinaryIO, self.storage.open(name))

    def holds(self, name: str) -> bool:
        """Whether there is a file of that name."""
        with _as_disk_trouble():
            return self.storage.exists(name)

    def delete(self, name: str) -> None:
        """Delete it, if it is there."""
        with _as_disk_trouble():
            self.storage.delete(name)


@contextmanager
def _as_disk_trouble() -> Iterator[None]:
    """The driver's own exceptions are no business of those who keep photographs."""
    try:
        yield
    except OSError:
        raise
    except Exception as trouble:
        raise OSError(errno.EIO, f"the object store did not answer: {trouble}") from trouble


def original_path(photo: Photo) -> Path:
    """Where a photo's original lies, fetched if it was not at hand."""
    return photo_store().at_hand(photo.sha256, EXTENSIONS[photo.format])


def not_looked_at(since: timedelta = timedelta(0)) -> QuerySet[Photo]:
    """Photos that were stored so long ago and have not been looked at."""
    return Photo.objects.filter(looked_at__isnull=True, stored_at__lte=timezone.now() - since)
