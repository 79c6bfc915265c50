"""The page of results side by side."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from firings.http import StudioRequest
from firings.keys import is_key
from tiles.compare import chosen as choosing
from tiles.compare.queries import comparison


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def compare(request: StudioRequest) -> HttpResponse:
    """The results an address names, side by side; one that a form sent is first written as it is shared."""
    said = request.GET.getlist("o")
    chosen = choosing.read(said)
    against = request.GET.get("to", "")
    if len(said) > 1 and not chosen.unread:
        return redirect(f"{reverse('tiles:compare:compare')}?o={chosen.written}")
    reference = int(against) if is_key(against) else None
    shown = comparison(chosen, reference, request.preferences)
    refused = shown.trouble and not shown.is_ready
    return render(request, "tiles/compare/compare.html", {"shown": shown}, status=422 if refused else 200)
