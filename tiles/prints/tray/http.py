"""What is said once something lies in the print tray, and the way there."""

from django.urls import reverse
from django.utils.html import format_html


def in_the_tray(what: str) -> str:
    """A message that leads to the tray, as most go there next."""
    return format_html('In the <a href="{}">print tray</a>: {}.', reverse("tiles:prints:tray"), what)
