"""`{% load commands %}`: commands on a page, as they are typed on the studio's own machine."""

from typing import Any

from django import template
from django.conf import settings
from django.utils.html import format_html
from django.utils.safestring import SafeString

from studio.http import is_from_this_machine
from studio.serving.services import prompt_here

register = template.Library()


@register.simple_tag(takes_context=True)
def typed_here(context: dict[str, Any], command: str) -> SafeString:
    """A command of `manage.py`: ``{% typed_here "sign_in_link" %}``.

    With what goes before it for this studio, its folder and its database, for who sits at that machine. Others may
    read these pages without having signed in: they are told that a folder goes before it, not which.
    """
    prompt, is_here = prompt_here(), is_from_this_machine(context["request"]) and not settings.BEHIND_HTTPS
    if is_here or context["request"].user.is_authenticated:
        return format_html("<code>{}</code>", prompt.manage(command))
    if prompt.is_usual:
        return format_html("<code>{}</code>", prompt.bare(command))
    return format_html(
        "<code>{}</code>, with TILEWRIGHT_DATA set to the studio’s folder,", prompt.bare(command)
    )
