"""A photo's addresses in templates; of a photo that shows several tiles, those of the tile's part."""

from django import template
from django.urls import reverse

from tiles.models import Photo, PhotoFiling
from tiles.photos.renditions import Size, size_within
from tiles.tray.parts.queries import PhotoPart, shown_of

register = template.Library()


@register.filter
def at(photo: Photo | PhotoPart, size: str) -> str:
    """The address of a photo at one size: ``{{ photo|at:"small" }}``.

    One that may still be in the making says so, and `photo-soon.js` looks for it again.
    """
    if isinstance(photo, PhotoPart):
        return reverse("tiles:tray:part", args=[photo.sha256, photo.share.written, size])
    address = reverse("tiles:photos:rendition", args=[photo.sha256, size])
    return address if photo.looked_at else f"{address}?soon"


@register.filter
def widths(photo: Photo | PhotoPart) -> str:
    """All sizes with their width in pixels, for ``srcset``, so that a browser takes the one it needs."""
    return ", ".join(f"{at(photo, size.value)} {_width_px(photo, size)}w" for size in Size)


@register.filter
def shown(filing: PhotoFiling) -> Photo | PhotoPart:
    """What a filing shows: ``{% with picture=filing|shown %}``."""
    return shown_of(filing)


def _width_px(photo: Photo | PhotoPart, size: Size) -> int:
    return size_within(photo.width, photo.height, size.longest_side_px)[0]
