"""`{% load print_tray %}{% to_print_tray "cards" tile.label %}`: a button that puts something into the print tray."""

from collections.abc import Iterable
from typing import Any

from django import template
from django.template import RequestContext
from django.utils.text import capfirst

from tiles.prints.kinds import KINDS

register = template.Library()


@register.inclusion_tag("tiles/prints/tray/_button.html", takes_context=True)
def to_print_tray(
    context: RequestContext, kind: str, keys: object, words: str = "", **options: object
) -> dict[str, Any]:
    """A button. `keys` is one key or several, as a list or with commas between; more words go into the kind's options.

    Nothing is shown to who may not see what would be printed.
    """
    shown = KINDS.get(kind)
    request = context["request"]
    if shown is None or not request.user.has_perm(shown.permission):
        return {}
    several = keys.split(",") if isinstance(keys, str) else keys if isinstance(keys, Iterable) else [keys]
    return {
        "request": request,
        "csrf_token": context.get("csrf_token"),
        "kind": kind,
        "keys": list(several),
        "options": options,
        "words": words or capfirst(f"{shown.one} to the print tray"),
    }
