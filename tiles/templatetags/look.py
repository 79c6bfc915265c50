"""What was seen in a photo, for its page."""

from contextlib import suppress
from typing import Any

from django import template

from tiles.models import Photo
from tiles.photos.look import Look
from tiles.photos.look_words import said_of

register = template.Library()


@register.inclusion_tag("tiles/photos/_seen.html")
def seen_in(photo: Photo) -> dict[str, Any]:
    """What one look found and what to do better; that it was not looked at yet, where that is so."""
    with suppress(ValueError, KeyError, TypeError):  # kept by an older version, and to be looked at again
        look = Look.from_json(photo.look or {})
        return {"found": list(said_of(look)), "advice": look.advice}
    return {"found": [], "advice": ()}
