"""The request our views are given."""

from django.contrib import messages
from django.http import HttpRequest
from django_htmx.middleware import HtmxDetails

from firings.models import User
from firings.preferences import Preferences


class StudioRequest(HttpRequest):
    """A request that went through our middleware: signed in, htmx told apart, preferences at hand."""

    htmx: HtmxDetails
    preferences: Preferences
    user: User


def say(request: HttpRequest, text: str, *, undo_url: str = "") -> None:
    """Announce what was done; with `undo_url` the message holds a button that posts there and undoes it."""
    messages.success(request, text, extra_tags=undo_url)
