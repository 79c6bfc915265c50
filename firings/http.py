"""The request our views are given."""

import json

from django import forms
from django.contrib import messages
from django.db import models
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
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


def typed_in(request: HttpRequest) -> QueryDict | None:
    """What was sent with a form, even if it was sent empty; None where the form is only asked for."""
    return request.POST if request.method == "POST" else None


def way_on(request: HttpRequest, otherwise: str) -> str:
    """Where the form asked to go on to, if that is within the studio."""
    asked = request.POST.get("next") or request.GET.get("next", "")
    return asked if is_within(request, asked) else otherwise


def is_within(request: HttpRequest, address: str) -> bool:
    """Whether an address that was sent is one of the studio's; a bare word is none: a redirect takes it for a name."""
    ours = url_has_allowed_host_and_scheme(address, {request.get_host()}, request.is_secure())
    return ours and "/" in address


def quick_form(request: StudioRequest, form: forms.BaseForm, title: str) -> HttpResponse:
    """A small form over the page where something new is needed, or a page of its own where scripts are off."""
    part = "parts/_quick_add.html" if request.htmx else "parts/quick_add.html"
    return render(request, part, {"form": form, "title": title}, status=422 if form.is_bound else 200)


def quick_added(request: StudioRequest, record: models.Model, kind: str, *, page: str) -> HttpResponse:
    """What a small form answers when its record is kept: every select of this kind learns the new choice."""
    if not request.htmx:
        return redirect(page)
    added = {"kind": kind, "value": record.pk, "label": str(record)}
    return HttpResponse(status=204, headers={"HX-Trigger": json.dumps({"added": added})})


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
