"""Cutting a tile's part out of a photo, once."""

from pathlib import Path

from tiles.models import Photo
from tiles.photos import services as photos
from tiles.photos.renditions import EXTENSION, Size
from tiles.tray.parts.cutting import Share, cut
from tiles.tray.parts.queries import PhotoPart


def part_path(photo: Photo, share: Share, size: Size | str) -> Path:
    """The JPEG of a part at one size, cut now if it has not been. Raises FileNotFoundError without an original."""
    store, name = photos.photo_store(), f"{Size(size).value}-{share.written}.{EXTENSION}"
    place = store.rendition(photo.sha256, name)
    if place.exists():
        return place
    content = cut(photos.rendition_path(photo, Size.LARGE), share, Size(size).longest_side_px)
    return store.keep_rendition(photo.sha256, name, content)


def path_of(shown: Photo | PhotoPart, size: Size | str) -> Path:
    """The JPEG of a photo, or of a tile's part of one."""
    if isinstance(shown, Photo):
        return photos.rendition_path(shown, size)
    return part_path(shown.whole, shown.share, size)
