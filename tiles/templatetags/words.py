"""`{% load words %}`: what was seen, lengths and colours, in words and patches."""

from decimal import Decimal

from django import template

from firings.preferences import Preferences
from tiles.colour import swatch
from tiles.models import Outcome
from tiles.tilepage import judged

register = template.Library()


@register.filter
def seen(outcome: Outcome, preferences: Preferences | None = None) -> str:
    """What was seen on a zone: satin, opaque, run 2 mm."""
    return judged.judged_words(outcome, preferences.length_unit if preferences else "mm")


@register.filter
def as_length(mm: Decimal | None, preferences: Preferences | None = None) -> str:
    """A length as the studio likes it written."""
    return judged.length_words(mm, preferences.length_unit if preferences else "mm") if mm is not None else ""


@register.filter
def patch(outcome: Outcome) -> str:
    """The measured colour for a screen, nothing where none was measured."""
    if outcome.lab_l is None or outcome.lab_a is None or outcome.lab_b is None:
        return ""
    return swatch.hex_of(outcome.lab_l, outcome.lab_a, outcome.lab_b)
