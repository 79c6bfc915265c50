"""Pages of evidence: of a glaze, of all glazes of a surface, of the whole studio, and the pairs behind each line."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from firings.http import StudioRequest
from tiles.evidence import queries
from tiles.evidence.queries import Scope
from tiles.models import Glaze
from tiles.vocabulary import Surface


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def studio(request: StudioRequest) -> HttpResponse:
    """What all results of the studio say."""
    return _page(request, queries.studio_scope())


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def glaze(request: StudioRequest, pk: int) -> HttpResponse:
    """What the results of one glaze say."""
    return _page(request, queries.glaze_scope(get_object_or_404(Glaze, pk=pk)))


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def surface(request: StudioRequest, value: str) -> HttpResponse:
    """What the results of all glazes of an expected surface say."""
    return _page(request, queries.surface_scope(_surface(value)))


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def studio_changes(request: StudioRequest) -> HttpResponse:
    """Every change of one condition, of the whole studio."""
    return _changes(request, queries.studio_scope())


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def glaze_changes(request: StudioRequest, pk: int) -> HttpResponse:
    """Every change of one condition, of one glaze."""
    return _changes(request, queries.glaze_scope(get_object_or_404(Glaze, pk=pk)))


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def surface_changes(request: StudioRequest, value: str) -> HttpResponse:
    """Every change of one condition, of all glazes of an expected surface."""
    return _changes(request, queries.surface_scope(_surface(value)))


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def studio_pairs(request: StudioRequest) -> HttpResponse:
    """The pairs behind a change, of the whole studio."""
    return _pairs(request, queries.studio_scope())


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def glaze_pairs(request: StudioRequest, pk: int) -> HttpResponse:
    """The pairs behind a change, of one glaze."""
    return _pairs(request, queries.glaze_scope(get_object_or_404(Glaze, pk=pk)))


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def surface_pairs(request: StudioRequest, value: str) -> HttpResponse:
    """The pairs behind a change, of all glazes of an expected surface."""
    return _pairs(request, queries.surface_scope(_surface(value)))


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def studio_runs(request: StudioRequest) -> HttpResponse:
    """Every stack's chance of running off, or the tiles behind one, of the whole studio."""
    return _runs(request, queries.studio_scope())


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def glaze_runs(request: StudioRequest, pk: int) -> HttpResponse:
    """Every stack's chance of running off, or the tiles behind one, of one glaze."""
    return _runs(request, queries.glaze_scope(get_object_or_404(Glaze, pk=pk)))


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def surface_runs(request: StudioRequest, value: str) -> HttpResponse:
    """Every stack's chance of running off, or the tiles behind one, of all glazes of an expected surface."""
    return _runs(request, queries.surface_scope(_surface(value)))


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def studio_repeats(request: StudioRequest) -> HttpResponse:
    """What was fired again under the same conditions, of the whole studio."""
    return _repeats(request, queries.studio_scope())


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def glaze_repeats(request: StudioRequest, pk: int) -> HttpResponse:
    """What was fired again under the same conditions, of one glaze."""
    return _repeats(request, queries.glaze_scope(get_object_or_404(Glaze, pk=pk)))


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def surface_repeats(request: StudioRequest, value: str) -> HttpResponse:
    """What was fired again under the same conditions, of all glazes of an expected surface."""
    return _repeats(request, queries.surface_scope(_surface(value)))


def _surface(value: str) -> Surface:
    try:
        return Surface(value)
    except ValueError:
        raise Http404(f"There is no surface {value}.") from None


def _page(request: StudioRequest, scope: Scope) -> HttpResponse:
    shown = {"page": queries.evidence_page(scope), "surfaces": list(Surface)}
    return render(request, "tiles/evidence/page.html", shown)


def _changes(request: StudioRequest, scope: Scope) -> HttpResponse:
    condition = queries.condition_named(request.GET.get("of", ""))
    if condition is None:
        raise Http404("There is no such condition.")
    shown = queries.changes_page(scope, condition, request.GET.get("page", ""))
    return render(request, "tiles/evidence/changes.html", {"shown": shown})


def _pairs(request: StudioRequest, scope: Scope) -> HttpResponse:
    shown = queries.pairs_page(scope, request.GET.dict())
    if shown is None:
        raise Http404("No pairs differ in that alone.")
    return render(request, "tiles/evidence/pairs.html", {"shown": shown})


def _runs(request: StudioRequest, scope: Scope) -> HttpResponse:
    stack, cone, page = (request.GET.get(name, "") for name in ("stack", "cone", "page"))
    if not stack:
        return render(request, "tiles/evidence/runs.html", {"shown": queries.risks_page(scope, page)})
    keys = queries.tries_behind(scope, stack, cone)
    if not keys:
        raise Http404("No judged tile has that stack at that cone.")
    listed = queries.results_listed(keys, page, request.preferences.length_unit)
    words = f"{stack}, cone {cone}" if cone else stack
    shown = {"words": words, "back": f"{scope.address}runs/", "shown": listed}
    return render(request, "tiles/evidence/tries.html", shown)


def _repeats(request: StudioRequest, scope: Scope) -> HttpResponse:
    shown = queries.repeats_page(
        scope, request.GET.get("page", ""), lots_aside=request.GET.get("lots") == "aside"
    )
    return render(request, "tiles/evidence/repeats.html", {"shown": shown})
