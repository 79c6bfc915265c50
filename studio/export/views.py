"""The keeper's page of packages."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from firings.http import say
from studio.export import queries, tasks
from studio.http import PersonRequest


@require_safe
@login_required
@permission_required("studio.view_backup", raise_exception=True)
def packages(request: PersonRequest) -> HttpResponse:
    """Packages that can be fetched, and what is in one."""
    page = {"packages": queries.made(), "under_way": queries.under_way()}
    part = "studio/export/_list.html" if request.htmx else "studio/export/packages.html"
    return render(request, part, page)


@require_POST
@login_required
@permission_required("studio.add_backup", raise_exception=True)
def make(request: PersonRequest) -> HttpResponse:
    """Have a package made while people go on working."""
    if not queries.under_way():
        tasks.make_package.enqueue()
    say(request, "The package is being made. It stands in the list when it is done; you can leave this page.")
    return redirect("export:list")


@require_safe
@login_required
@permission_required("studio.change_backup", raise_exception=True)
def fetch(request: PersonRequest, name: str) -> FileResponse:
    """The package itself: it holds all of the studio, so only a keeper gets it."""
    place = queries.export_folder() / name
    if not queries.is_package_name(name) or not place.is_file():
        raise Http404("There is no such package; they are kept for a week.")
    return FileResponse(
        place.open("rb"), as_attachment=True, filename=name, headers={"Cache-Control": "private, no-store"}
    )
