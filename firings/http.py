"""The request our views are given."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django_htmx.middleware import HtmxDetails

from firings.forms import KeptForm
from firings.models import Kept, User
from firings.preferences import Preferences


class StudioRequest(HttpRequest):
    """A request that went through our middleware: signed in, htmx told apart, preferences at hand."""

    htmx: HtmxDetails
    preferences: Preferences
    user: User


def say(request: HttpRequest, text: str, *, undo_url: str = "") -> None:
    """Announce what was done; with `undo_url` the message holds a button that posts there and undoes it."""
    messages.success(request, text, extra_tags=undo_url)


def conflict(request: HttpRequest, form: KeptForm, current: Kept, *, back: str = "") -> HttpResponse:
    """The page of two versions: what was typed here, what somebody else saved meanwhile. Nothing typed is lost."""
    typed = [(name, value) for name, values in request.POST.lists() for value in values]
    page = {
        "current": current,
        "differences": list(form.differences(current)),
        "typed": [pair for pair in typed if pair[0] not in ("csrfmiddlewaretoken", "stamp")],
        "stamp": current.stamp,
        "back": back or request.path,
        "last_change": current.history.first(),  # type: ignore[attr-defined]
    }
    return render(request, "conflict.html", page, status=409)
