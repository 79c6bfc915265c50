"""What is one change apart from a result: a page, and the piece of the tile's page."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import require_safe

from firings.http import StudioRequest
from tiles.apart.queries import section
from tiles.models import Outcome


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def one_apart(request: StudioRequest, pk: int) -> HttpResponse:
    """The results that differ from one in exactly one condition, by which."""
    outcome = get_object_or_404(Outcome.objects.for_display().fired(), pk=pk)
    choices = Outcome.objects.for_display().fired().filter(tile=outcome.tile_id)
    shown = section(
        list(choices.order_by("-firing_count", "zone__position")),
        str(pk),
        may_plan=request.user.has_perm("tiles.add_tile"),
    )
    template = "tiles/apart/_section.html" if request.htmx else "tiles/apart/page.html"
    answer = render(request, template, {"apart": shown})
    patch_vary_headers(answer, ["HX-Request"])
    return answer
