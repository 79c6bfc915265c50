"""A photo's addresses in templates; of a photo that shows several tiles, those of the tile's part."""

from django import template
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from tiles.models import Photo, PhotoFiling, Placement
from tiles.photos.renditions import Size, size_within
from tiles.tray.parts.queries import PhotoPart, shown_of

register = template.Library()

# Stand for a tile's number and its place in the firing in a camera drawn once; no page holds such characters.
_LABEL, _PLACEMENT = "\ue000", "\ue001"


@register.filter
def at(photo: Photo | PhotoPart, size: str) -> str:
    """The address of a photo at one size: ``{{ photo|at:"small" }}``.

    One that may still be in the making says so, and `photo-soon.js` looks for it again.
    """
    if isinstance(photo, PhotoPart):
        return reverse("tiles:tray:part", args=[photo.sha256, photo.share.written, size])
    address = reverse("tiles:photos:rendition", args=[photo.sha256, size])
    return address if photo.looked_at else f"{address}?soon"


@register.simple_tag(takes_context=True)
def camera(context: template.Context, words: str) -> str:
    """The camera button of many tiles, drawn once: ``{% camera "Photo" as one %}``, then ``{{ one|of:placement }}``."""
    asked = {"words": words, "for_tile": _LABEL, "for_placement": _PLACEMENT}
    return render_to_string("tiles/photos/_camera.html", asked, context["request"])


@register.filter
def of(camera: str, placement: Placement) -> SafeString:
    """That camera button for a tile where it stood in a firing."""
    label = escape(placement.tile.label)
    return mark_safe(  # nosec B308, B703 # a template's own words, and what is put in is escaped
        camera.replace(_LABEL, label).replace(_PLACEMENT, escape(placement.pk))
    )


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
