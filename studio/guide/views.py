"""The guide: its contents, and a page a task."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from studio.guide.contents import CONTENTS, TASKS
from studio.http import PersonRequest


@require_safe
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def index(request: PersonRequest) -> HttpResponse:
    """All tasks, in the order of the work."""
    return render(request, "studio/guide/index.html", {"contents": CONTENTS})


@require_safe
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def task(request: PersonRequest, slug: str) -> HttpResponse:
    """One task."""
    if slug not in TASKS:
        raise Http404(f"no such task: {slug}")
    order = list(TASKS.values())
    at = order.index(TASKS[slug])
    return render(
        request,
        TASKS[slug].template,
        {"task": TASKS[slug], "following": order[at + 1] if at + 1 < len(order) else None},
    )
