"""The list of tiles, and one tile's page."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from firings.http import StudioRequest
from tiles.apart.queries import section
from tiles.laboratory import queries as laboratory
from tiles.models import Tile
from tiles.places.queries import where_of
from tiles.public.queries import public_address
from tiles.tilepage import queries


@require_safe
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def tile_list(request: StudioRequest) -> HttpResponse:
    """All tiles, newest first."""
    shown = queries.tile_list(request.GET)
    template = "tiles/tilepage/_listed.html" if request.htmx else "tiles/tilepage/list.html"
    return render(request, template, {"shown": shown})


@require_safe
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def tile_page(request: StudioRequest, label: str) -> HttpResponse:
    """One tile with everything; a number no tile has is answered in words."""
    try:
        tile = queries.find_tile(label)
    except ValueError as problem:
        return _no_such_tile(request, label, str(problem))
    if tile is None:
        return _no_such_tile(request, label, f"No tile has the number {label}.")
    if label != tile.label:
        return redirect("tiles:recording:tile", tile.label)
    page = queries.tile_page(tile)
    may_plan = request.user.has_perm("tiles.add_tile")
    apart = section(page.outcomes, request.GET.get("apart", ""), may_plan=may_plan)
    shown = {
        "page": page,
        "tile": tile,
        "short": _short_words(request, tile),
        "apart": apart,
        "where": where_of([tile])[tile.pk],
        "found": laboratory.tests_of_tile(tile),
        "reports": laboratory.reports_of_tile(tile),
        "note_report": f"{reverse('tiles:laboratory:new_leach_report')}?tile={tile.label}",
        "weigh": f"{reverse('tiles:laboratory:new_absorption')}?tile={tile.label}",
    }
    return render(request, "tiles/tilepage/tile.html", shown)


@require_safe
def short_address(request: StudioRequest, label: str) -> HttpResponse:
    """What a scanned code opens: for people of the studio the tile's page, for others its public one, if it has one."""
    if not request.user.is_authenticated and (address := public_address(label)):
        return redirect(address)
    return _to_tile(request, label)


@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def _to_tile(request: StudioRequest, label: str) -> HttpResponse:
    return redirect("tiles:recording:tile", label)


def _short_words(request: StudioRequest, tile: Tile) -> str:
    """The address to type where a code can't be scanned: 192.168.1.20:8000/T/1042-9."""
    return f"{request.preferences.address}{reverse('short', args=[tile.label])}".partition("://")[2]


def _no_such_tile(request: StudioRequest, label: str, problem: str) -> HttpResponse:
    return render(
        request, "tiles/tilepage/no_such_tile.html", {"label": label, "problem": problem}, status=404
    )
