"""`{% load closeup %}`: what the close view needs to know of a picture, and whose run can be measured on a photo."""

from typing import Any

from django import template
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

from tiles.closeup import queries
from tiles.models import Outcome, Photo
from tiles.photos.renditions import Size
from tiles.templatetags.photos import at
from tiles.tray.parts.queries import PhotoPart

register = template.Library()


@register.simple_tag
def opens_close_up(photo: Photo | PhotoPart) -> SafeString:
    """Attributes of a link that opens its picture close up: `<a href="…" {% opens_close_up photo %}>`."""
    return format_html('data-photo-zoom="{}" {}', at(photo, Size.LARGE), close_up(photo))


@register.simple_tag
def close_up(photo: Photo | PhotoPart) -> SafeString:
    """What a close view shows: where its pieces are, which part of the photo, how large [px]."""
    pieces = reverse("tiles:closeup:pyramid", args=[photo.sha256])
    home = " ".join(f"{share:g}" for share in queries.home_of(photo))
    size = f"{photo.width} {photo.height}"
    return format_html('data-pieces="{}" data-home="{}" data-size="{}"', pieces, home, size)


@register.inclusion_tag("tiles/closeup/_runs.html", takes_context=True)
def run_links(context: dict[str, Any], photo: Photo) -> dict[str, Any]:
    """Links to measure the run of each zone a photo shows, for those who may."""
    outcomes: list[Outcome] = list(queries.outcomes_on(photo))
    return {"photo": photo, "outcomes": outcomes, "request": context.get("request")}
