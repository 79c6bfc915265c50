"""The home page."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from studio.http import PersonRequest
from studio.waiting.queries import what_waits


@require_safe
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def home(request: PersonRequest) -> HttpResponse:
    """What needs you next."""
    return render(request, "studio/waiting/home.html", {"waiting": what_waits(request.user)})
