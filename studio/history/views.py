"""What happened to a record, and putting it back to how it stood."""

from collections.abc import Sequence

from django.contrib import messages
from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from firings.http import StudioRequest, say, way_on
from firings.keys import key_of
from firings.models import Kept
from firings.words import listed
from studio.history import services
from studio.history.http import page_of, record_for, written_by
from studio.history.queries import changes_of, may_change
from studio.history.services import CannotRestore, restore

# A clip-board sheet is far shorter; each record is put back by itself.
MOST_TAKEN_BACK = 500


@require_safe
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def changes(request: StudioRequest, app_label: str, model: str, pk: int) -> HttpResponse:
    """Who changed what, and when; on another page as a fragment."""
    record = record_for(request.user, "view", app_label, model, pk)
    shown = {
        "record": record,
        "kind": record._meta.verbose_name,
        "changes": changes_of(record),
        "app_label": app_label,
        "may_restore": may_change(request.user, record),
        "page_address": page_of(record),
    }
    template = "studio/history/_changes.html" if request.htmx else "studio/history/changes.html"
    return render(request, template, shown)


@require_POST
@login_required
@permission_required("tiles.change_tile", raise_exception=True)
def put_back(request: StudioRequest, app_label: str, model: str, pk: int, history_id: int) -> HttpResponse:
    """Put a record back to an earlier version; that itself is undone from the message."""
    record = record_for(request.user, "change", app_label, model, pk)
    before = record.standing_version
    stamp = request.POST.get("stamp") or request.GET.get("stamp") or ""
    try:
        restore(record, history_id, by=request.user, stamp=key_of(stamp) if stamp else None)
    except CannotRestore as problem:
        messages.error(request, str(problem))
    else:
        undo_url = reverse("history:restore", args=[app_label, model, pk, before]) if before else ""
        say(request, f"{record} stands as it did.", undo_url=undo_url)
    return redirect(way_on(request, page_of(record)))


@require_POST
@login_required
@permission_required("tiles.change_tile", raise_exception=True)
def take_back(request: StudioRequest, app_label: str, model: str) -> HttpResponse:
    """Undo a change of many records in one step; `these` are the versions that it wrote."""
    written = [key for word in request.GET.get("these", "").split(",") if (key := key_of(word))]
    found = written_by(request.user, app_label, model, written[:MOST_TAKEN_BACK])
    done = services.take_back(found, by=request.user)
    if done.back:
        say(request, f"{_counted(done.back)} as before.")
    if done.left:
        named = listed([str(record) for record in done.left])
        messages.warning(request, f"Changed or put in a firing since, and left so: {named}.")
    return redirect(way_on(request, reverse("waiting:home")))


def _counted(records: Sequence[Kept]) -> str:
    meta = records[0]._meta
    words = meta.verbose_name if len(records) == 1 else meta.verbose_name_plural
    return f"{len(records)} {words}"
