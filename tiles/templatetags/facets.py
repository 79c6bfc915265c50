"""`{% load facets %}`: the choices of a search by the hundred, which a template's own variables make dear."""

from collections.abc import Iterable
from html import escape

from django import template
from django.utils.safestring import SafeString, mark_safe
from django.utils.text import slugify

from tiles.search.facets import Choice
from tiles.search.groups import Group

register = template.Library()

CHOICE = """<label class="facet-choice{none}">
  <input id="choice-{group}-{slug}" type="checkbox" name="{group}" value="{value}"{checked}>
  <span class="facet-word">{words}</span>{count}
</label>
"""


@register.simple_tag
def choices_of(group: Group, choices: Iterable[Choice]) -> SafeString:
    """A group's choices, each with a box to tick and how many results it would give."""
    # All that people typed is escaped in _choice.
    return mark_safe("".join(_choice(group.name, choice) for choice in choices))  # nosec


def _choice(group: str, choice: Choice) -> str:
    return CHOICE.format(
        none="" if choice.count != 0 else " facet-choice--none",
        group=group,
        slug=choice.value if choice.value.isalnum() else slugify(choice.value),
        value=escape(choice.value),
        checked=" checked" if choice.is_chosen else "",
        words=escape(choice.words),
        count="" if choice.count is None else f' <span class="facet-count">{choice.count}</span>',
    )
