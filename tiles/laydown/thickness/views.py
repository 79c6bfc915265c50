"""The page of how thickly coats go on."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from firings.http import StudioRequest
from firings.units import read_key
from tiles.laydown.coats import PACKING, PACKING_HIGH, PACKING_LOW, Hand
from tiles.laydown.thickness import queries
from tiles.models import Glaze


@require_safe
@login_required
@permission_required("tiles.view_glaze", raise_exception=True)
def thickness(request: StudioRequest) -> HttpResponse:
    """How thickly each person and brush lays a coat on: of all glazes, or of one."""
    asked = read_key(request.GET.get("glaze", ""))
    glaze = get_object_or_404(Glaze, pk=asked) if asked else None
    page = {
        "glaze": glaze,
        "found": queries.thickness(glaze.pk if glaze else None),
        "packing": (PACKING, PACKING_LOW, PACKING_HIGH),
    }
    return render(request, "tiles/laydown/thickness/thickness.html", page)


@require_safe
@login_required
@permission_required("tiles.view_glaze", raise_exception=True)
def weighed(request: StudioRequest) -> HttpResponse:
    """The weighed zones behind one figure."""
    asked = request.GET
    glaze = get_object_or_404(Glaze.everything, pk=read_key(asked.get("glaze", "")))
    hand = Hand(glaze.pk, read_key(asked.get("person", "")), asked.get("method", ""), asked.get("tool", ""))
    page = {"glaze": glaze, "hand": hand, "found": queries.behind(hand)}
    return render(request, "tiles/laydown/thickness/weighed.html", page)
