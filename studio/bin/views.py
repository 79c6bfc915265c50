"""The bin's page, into it and out of it."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from firings.http import StudioRequest, say, way_on
from studio.bin import queries, services
from studio.history.http import page_of, record_for


@require_safe
@login_required
@permission_required("tiles.change_tile", raise_exception=True)
def bin_page(request: StudioRequest) -> HttpResponse:
    """What lies in the bin, who put it there, and how long it stays."""
    return render(request, "studio/bin/bin.html", {"binned": queries.in_bin(request.user, timezone.now())})


@require_POST
@login_required
@permission_required("tiles.change_tile", raise_exception=True)
def put_in_bin(request: StudioRequest, app_label: str, model: str, pk: int) -> HttpResponse:
    record = record_for(request.user, "change", app_label, model, pk)
    services.put_in_bin(record, by=request.user)
    say(
        request,
        f"{_words(record)} is in the bin.",
        undo_url=reverse("history:unbin", args=[app_label, model, pk]),
    )
    return redirect(way_on(request, reverse("waiting:home")))


@require_POST
@login_required
@permission_required("tiles.change_tile", raise_exception=True)
def unbin(request: StudioRequest, app_label: str, model: str, pk: int) -> HttpResponse:
    record = record_for(request.user, "change", app_label, model, pk)
    try:
        services.take_out_of_bin(record, by=request.user)
    except services.CannotPutBack as problem:
        messages.error(request, str(problem))
        return redirect(way_on(request, reverse("history:bin_page")))
    say(request, f"{_words(record)} is back.")
    return redirect(way_on(request, page_of(record)))


def _words(record: object) -> str:
    kind = str(record._meta.verbose_name)  # type: ignore[attr-defined]
    return f"{kind[:1].upper()}{kind[1:]} {record}"
