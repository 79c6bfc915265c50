"""The home page."""

from itertools import chain

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from firings.http import StudioRequest
from studio.waiting import queries


@require_safe
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def home(request: StudioRequest) -> HttpResponse:
    steps = queries.first_steps()
    jobs = chain(queries.firing_jobs(), queries.tray_job(), queries.tile_jobs(), queries.photo_job())
    page = {
        "jobs": list(jobs) if request.user.has_perm("tiles.change_outcome") else [],
        "steps": [] if all(step.is_done for step in steps) else steps,
        "latest": queries.latest_tiles(),
        "series": list(queries.series_under_way()),
    }
    return render(request, "studio/waiting/home.html", page)
