"""A photo's addresses in templates."""

from django import template
from django.urls import reverse

from tiles.models import Photo
from tiles.photos.renditions import Size, size_within

register = template.Library()


@register.filter
def at(photo: Photo, size: str) -> str:
    """The address of a photo at one size: ``{{ photo|at:"small" }}``."""
    return reverse("tiles:photos:rendition", args=[photo.sha256, size])


@register.filter
def widths(photo: Photo) -> str:
    """All sizes with their width in pixels, for ``srcset``, so that a browser takes the one it needs."""
    return ", ".join(f"{at(photo, size.value)} {_width_px(photo, size)}w" for size in Size)


def _width_px(photo: Photo, size: Size) -> int:
    return size_within(photo.width, photo.height, size.longest_side_px)[0]
