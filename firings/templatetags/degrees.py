"""Sentences with degrees in them, in the studio's unit."""

from django import template

from firings.notice import said_in
from firings.programmes.segments import Unit

register = template.Library()


@register.filter(name="said_in")
def said_in_unit(words: str, unit: str) -> str:
    """A notice in °C or °F: {{ words|said_in:request.preferences.temperature_unit }}."""
    return said_in(words, Unit(unit))
