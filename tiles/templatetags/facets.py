"""`{% load facets %}`: the choices of a search by the hundred, which a template's own variables make dear."""

from collections.abc import Iterable
from functools import lru_cache
from html import escape

from django import template
from django.utils.safestring import SafeString, mark_safe
from django.utils.text import slugify

from tiles.search.facets import Choice
from tiles.search.groups import Group

register = template.Library()


@register.simple_tag
def choices_of(group: Group, choices: Iterable[Choice]) -> SafeString:
    """A group's choices, each with a box to tick and how many results it would give."""
    # All that people typed is escaped in _box.
    return mark_safe("".join(_choice(group.name, choice) for choice in choices))  # nosec


def _choice(group: str, choice: Choice) -> str:
    none = "" if choice.count != 0 else " facet-choice--none"
    count = "" if choice.count is None else f' <span class="facet-count">{choice.count}</span>'
    box = _box(group, choice.value, choice.words, is_chosen=choice.is_chosen)
    return f'<label class="facet-choice{none}">\n  {box}{count}\n</label>\n'


@lru_cache(maxsize=8192)
def _box(group: str, value: str, words: str, *, is_chosen: bool) -> str:
    """The box and its words, which are the same on page after page."""
    slug = value if value.isalnum() else slugify(value)
    checked = " checked" if is_chosen else ""
    return (
        f'<input id="choice-{group}-{slug}" type="checkbox" name="{group}" value="{escape(value)}"{checked}>\n'
        f'  <span class="facet-word">{escape(words)}</span>'
    )
