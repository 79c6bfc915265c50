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
def studio_pairs(request: StudioRequest) -> HttpResponse:
    return _pairs(request, queries.studio_scope())


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def glaze_pairs(request: StudioRequest, pk: int) -> HttpResponse:
    return _pairs(request, queries.glaze_scope(get_object_or_404(Glaze, pk=pk)))


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def surface_pairs(request: StudioRequest, value: str) -> HttpResponse:
    return _pairs(request, queries.surface_scope(_surface(value)))


def _surface(value: str) -> Surface:
    try:
        return Surface(value)
    except ValueError:
        raise Http404(f"There is no surface {value}.") from None


def _page(request: StudioRequest, scope: Scope) -> HttpResponse:
    shown = {"page": queries.evidence_page(scope), "surfaces": list(Surface)}
    return render(request, "tiles/evidence/page.html", shown)


def _pairs(request: StudioRequest, scope: Scope) -> HttpResponse:
    page = queries.pairs_page(scope, request.GET.dict())
    if page is None:
        raise Http404("No pairs differ in that alone.")
    return render(request, "tiles/evidence/pairs.html", {"page": page})
