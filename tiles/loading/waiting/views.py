"""The page of what waits to be fired."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from firings.http import StudioRequest, say
from firings.keys import key_of
from firings.models import Firing, Kiln
from firings.vocabulary import FiringState
from tiles.loading.waiting.grouping import fire_of
from tiles.loading.waiting.queries import waiting_page
from tiles.loading.waiting.services import Filled, fire_waiting


@require_safe
@login_required
@permission_required("tiles.view_placement", raise_exception=True)
def page(request: StudioRequest) -> HttpResponse:
    """All waiting tiles by the fire they ask for."""
    return render(request, "tiles/loading/waiting/page.html", {"page": waiting_page()})


@require_POST
@login_required
@permission_required(("tiles.change_placement", "firings.add_firing"), raise_exception=True)
def fire(request: StudioRequest) -> HttpResponse:
    """Plan a firing for a group, or fill the one that is planned."""
    try:
        asked = fire_of(request.POST.get("fire", ""))
    except ValueError as trouble:
        messages.error(request, str(trouble))
        return redirect("tiles:to_fire:page")
    kiln = get_object_or_404(Kiln.objects.all(), pk=key_of(request.POST.get("kiln", "")))
    planned = None
    if wanted := request.POST.get("firing", ""):
        planned = get_object_or_404(
            Firing.objects.select_related("kiln"),
            number=key_of(wanted),
            kiln=kiln,
            state=FiringState.PLANNED.value,
        )
    done = fire_waiting(asked, kiln, planned, by=request.user)
    undo = reverse("tiles:loading:undo", args=[done.firing.number, *done.undo]) if done.undo else ""
    say(request, _words(done), undo_url=undo)
    if done.left:
        messages.warning(request, f"{done.left} found no room in {kiln} and go on waiting.")
    return redirect("tiles:loading:firing", done.firing.number)


def _words(done: Filled) -> str:
    return f"{done.placed} tile{'' if done.placed == 1 else 's'} put into {done.firing.label}, each in its place."
