"""The keeper's page of backups."""

from pathlib import Path

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required, permission_required
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from firings.http import say
from studio.backup import queries, services, tasks
from studio.http import PersonRequest
from studio.models import Backup
from studio.work.services import try_again_now


@require_safe
@login_required
@permission_required("studio.view_backup", raise_exception=True)
def backups(request: PersonRequest) -> HttpResponse:
    """Backups that were made, whether they were proven, and where they lie."""
    page = {
        "backups": queries.listed(),
        "under_way": queries.under_way(),
        "trouble": queries.last_trouble(),
        "folder": queries.backup_folder(),
        "each_day": bool(settings.BACKUP_DIR),
    }
    part = "studio/backup/_list.html" if request.htmx else "studio/backup/backups.html"
    return render(request, part, page)


@require_POST
@login_required
@permission_required("studio.add_backup", raise_exception=True)
def make(request: PersonRequest) -> HttpResponse:
    """Have a backup made and proven while people go on working; one that waits after a failure is tried at once."""
    waiting = queries.wait_after_failure()
    for one in waiting:
        try_again_now(one)
    if not waiting and not queries.under_way():
        tasks.back_up.enqueue(by=request.user.pk)
    say(request, "The backup is being made. It stands in the list when it is done; you can leave this page.")
    return redirect("backup:list")


@require_POST
@login_required
@permission_required("studio.change_backup", raise_exception=True)
def prove(request: PersonRequest, pk: int) -> HttpResponse:
    """Have a backup restored on trial once more."""
    backup = get_object_or_404(Backup, pk=pk)
    tasks.prove.enqueue(backup=backup.pk)
    say(request, f"{backup} is being restored on trial.")
    return redirect("backup:list")


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("studio.delete_backup", raise_exception=True)
def throw_away(request: PersonRequest, pk: int) -> HttpResponse:
    """Ask once more, then throw away the file of a backup that is not whole."""
    backup = get_object_or_404(Backup.objects.not_whole(), pk=pk)
    if request.method == "GET":
        page = {"backup": backup, "may": queries.stands_without(backup)}
        return render(request, "studio/backup/throw_away.html", page)
    try:
        services.throw_away_damaged(backup)
    except services.CannotBackUp as problem:
        messages.error(request, str(problem))
    else:
        say(request, f"The file of {backup} is thrown away.")
    return redirect("backup:list")


@require_safe
@login_required
@permission_required("studio.change_backup", raise_exception=True)
def download(request: PersonRequest, pk: int) -> FileResponse:
    """The file itself: it holds all of the studio, so only a keeper gets it."""
    place = Path(get_object_or_404(Backup, pk=pk).place)
    if not place.is_file():
        raise Http404("The backup’s file is no longer there.")
    return FileResponse(
        place.open("rb"),
        as_attachment=True,
        filename=place.name,
        headers={"Cache-Control": "private, no-store"},
    )
