"""Links to the guide and from it."""

from typing import Any

from django import template
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

from studio.guide.contents import TASKS, needed_on

register = template.Library()


@register.simple_tag(takes_context=True)
def how_to(context: dict[str, Any]) -> SafeString | str:
    """A quiet link to the page of the guide that belongs to this page; nothing where there is none.

    ``{% how_to %}``
    """
    request = context.get("request")
    user = context.get("user")
    if request is None or request.resolver_match is None or user is None:
        return ""
    task = needed_on(request.resolver_match.view_name)
    if task is None or not user.has_perm("tiles.view_tile"):
        return ""
    return format_html(
        '<p class="how-to"><a href="{}">How to {}</a></p>',
        reverse("guide:task", args=[task.slug]),
        task.title,
    )


@register.simple_tag
def guide(slug: str) -> SafeString:
    """A link from one page of the guide to another: ``{% guide "judge" %}``."""
    return format_html('<a href="{}">{}</a>', reverse("guide:task", args=[slug]), TASKS[slug].title)


@register.simple_tag
def screen(name: str, words: str, allowed: bool = True) -> SafeString:
    """A page of the studio, linked for those who may open it: ``{% screen "people:list" "People" perms.… %}``."""
    address = reverse(name)
    if not allowed:
        return format_html("<strong>{}</strong>", words)
    return format_html('<a href="{}">{}</a>', address, words)


@register.simple_tag
def press(words: str) -> SafeString:
    """The words on something to press, as they stand there: ``{% press "Put in" %}``."""
    return format_html('<b class="press">{}</b>', words)
