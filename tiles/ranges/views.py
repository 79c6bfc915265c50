"""The range sheet of a glaze, the results behind one of its cells, and the way to plan what is missing."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import require_safe
from django_htmx.http import push_url

from firings.http import StudioRequest
from tiles.catalogue.queries import fired_glazes
from tiles.models import Glaze
from tiles.ranges import queries
from tiles.ranges.axes import Axis
from tiles.ranges.pairs.queries import combinations as combinations_of
from tiles.search.cards.queries import cards

# So many results of one cell are shown; a cell of a studio's usual tile may hold thousands.
MOST_CARDS = 96


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def glazes(request: StudioRequest) -> HttpResponse:
    """The glazes that have results, with the way to their range sheet and to their combinations."""
    return render(request, "tiles/ranges/glazes.html", {"glazes": fired_glazes()})


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def sheet(request: StudioRequest, pk: int) -> HttpResponse:
    """The sheet that the address asks for; as a fragment where only the choices changed."""
    found = queries.range_sheet(get_object_or_404(Glaze, pk=pk), request.GET.dict())
    is_fragment = bool(request.htmx) and not request.htmx.history_restore_request
    template = "tiles/ranges/_sheet.html" if is_fragment else "tiles/ranges/sheet.html"
    answer = render(request, template, {"sheet": found, "axes": Axis.choices()})
    patch_vary_headers(answer, ["HX-Request"])
    return push_url(answer, f"{request.path}?{found.query}") if is_fragment else answer


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def cell(request: StudioRequest, pk: int) -> HttpResponse:
    """All results of one cell, the one that stands for it first."""
    found = queries.cell_of(get_object_or_404(Glaze, pk=pk), request.GET.dict())
    if found is None:
        raise Http404("No such place on the sheet.")
    sheet, place = found
    shown = cards(place.keys[:MOST_CARDS], {}, request.preferences.length_unit)
    return render(request, "tiles/ranges/cell.html", {"sheet": sheet, "cell": place, "cards": shown})


@require_safe
@login_required
@permission_required("tiles.add_series", raise_exception=True)
def plan(request: StudioRequest, pk: int) -> HttpResponse:
    """To the planner with the cells that were ticked, or with all that are empty."""
    glaze = get_object_or_404(Glaze, pk=pk)
    ticked = [] if request.GET.get("all") else request.GET.getlist("cell")
    return redirect(queries.plan_of_cells(glaze, request.GET.dict(), ticked))


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def combinations(request: StudioRequest, pk: int) -> HttpResponse:
    """All that a glaze has been over and under, and what of it is surest to stay on at a cone."""
    found = combinations_of(get_object_or_404(Glaze, pk=pk), request.GET.dict())
    return render(request, "tiles/ranges/combinations.html", {"page": found})
