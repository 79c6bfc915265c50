"""The request our views are given."""

import json
from collections.abc import Callable
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.contrib import messages
from django.db import models
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django_htmx.middleware import HtmxDetails

from firings.forms import KeptForm
from firings.keys import key_of
from firings.models import Kept, User
from firings.models.kept import StaleEdit
from firings.preferences import Preferences


class StudioRequest(HttpRequest):
    """A request that went through our middleware: signed in, htmx told apart, preferences at hand."""

    htmx: HtmxDetails
    preferences: Preferences
    user: User


def say(request: HttpRequest, text: str, *, undo_url: str = "") -> None:
    """Announce what was done; with `undo_url` the message holds a button that posts there and undoes it."""
    messages.success(request, text, extra_tags=undo_url)


def say_kept(request: HttpRequest, record: Kept, before: int, *, words: str = "", back: str = "") -> None:
    """Announce that a record is kept; undone by going back to its version `before`, by the bin where it is new.

    Parameters
    ----------
    before : `record.standing_version` as it was before it was kept
    words : what is said instead of its name and “is kept”
    back : where undoing leads to instead of the record's page, or home where the record is new
    """
    which = [record._meta.app_label, record._meta.model_name, record.pk]
    asked = {"next": back} if back else {}
    if before:
        undo_url = reverse("history:restore", args=[*which, before])
        asked["stamp"] = str(record.stamp)
    else:
        undo_url = reverse("history:bin", args=which)
    say(request, words or f"{record} is kept.", undo_url=f"{undo_url}?{urlencode(asked)}".rstrip("?"))


def answer_kept(
    request: HttpRequest,
    form: KeptForm,
    keep: Callable[[], Kept],
    *,
    words: str = "{} is kept.",
    then: str = "",
    undone: str = "",
    stands: str = "",
) -> HttpResponse:
    """Keep what a form holds and go on from there, or show both versions where somebody else was faster.

    Parameters
    ----------
    words : what is said, with {} for the record's name
    then : where one goes on to instead of the record's page
    undone : where undoing leads to instead of the record's page, or home where the record is new
    stands : where both versions lead back to instead of the form
    """
    before = form.instance.standing_version
    try:
        kept = keep()
    except StaleEdit as stale:
        return conflict(request, form, stale.current, back=stands)
    say_kept(request, kept, before, words=words.format(kept), back=undone)
    return redirect(then or kept)  # type: ignore[arg-type]


def wants_next(request: HttpRequest) -> bool:
    """Whether a form was kept to write the next one at once."""
    return request.POST.get("then") == "next"


def next_form(request: HttpRequest, record: Kept) -> HttpResponse:
    """The same form anew, to be begun with what stays from one record to the next."""
    return redirect(f"{request.path}?like={record.pk}")


def written_before(request: HttpRequest, kind: type[Kept]) -> Any:
    """The record a form begins like, by the address's ?like=; None where there is none."""
    asked = key_of(request.GET.get("like", ""))
    return kind._default_manager.filter(pk=asked).first() if asked else None


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
