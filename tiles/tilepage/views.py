"""The list of tiles, and one tile's page."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from firings.http import StudioRequest
from tiles.models import Tile


@require_safe
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def tile_list(request: StudioRequest) -> HttpResponse:
    return render(request, "tiles/tilepage/list.html", {"tiles": Tile.objects.for_lists()[:50]})


@require_safe
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def tile_page(request: StudioRequest, label: str) -> HttpResponse:
    tile = get_object_or_404(Tile.objects.numbered(label))
    return render(request, "tiles/tilepage/tile.html", {"tile": tile})


@require_safe
@login_required
def short_address(request: StudioRequest, label: str) -> HttpResponse:
    """What a scanned code opens: on to the tile's page."""
    return redirect("tiles:recording:tile", label)
