"""`{% icon "print" %}`: a drawing from the sheet of icons, in every template without loading."""

from functools import lru_cache

from django import template
from django.templatetags.static import static
from django.utils.html import format_html
from django.utils.safestring import SafeString

register = template.Library()


@register.simple_tag
@lru_cache(maxsize=256)
def icon(name: str, label: str = "") -> SafeString:
    """An icon of the sheet; read out by its label, and passed over by screen readers where it has none.

    Kept as it is written: a page has dozens, and the address of the sheet is the same as long as the program runs.
    """
    said = (
        format_html('role="img" aria-label="{}"', label) if label else format_html('aria-hidden="{}"', "true")
    )
    return format_html(
        '<svg class="icon icon--{}" width="20" height="20" {}><use href="{}#{}"></use></svg>',
        *(name, said, static("icons/icons.svg"), name),
    )
