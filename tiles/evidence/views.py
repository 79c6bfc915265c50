"""Pages of evidence and the pairs behind each line: of a glaze, of those of a surface or a tag, or of the studio."""

from typing import Any

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
def page(request: StudioRequest, **about: Any) -> HttpResponse:
    """What the results say."""
    shown = {
        "page": queries.evidence_page(_scope(**about)),
        "surfaces": list(Surface),
        "tags": Glaze.objects.all_tags(),
    }
    return render(request, "tiles/evidence/page.html", shown)


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def changes(request: StudioRequest, **about: Any) -> HttpResponse:
    """Every change of one condition."""
    condition = queries.condition_named(request.GET.get("of", ""))
    if condition is None:
        raise Http404("There is no such condition.")
    shown = queries.changes_page(_scope(**about), condition, request.GET.get("page", ""))
    return render(request, "tiles/evidence/changes.html", {"shown": shown})


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def pairs(request: StudioRequest, **about: Any) -> HttpResponse:
    """The pairs behind a change."""
    shown = queries.pairs_page(_scope(**about), request.GET.dict())
    if shown is None:
        raise Http404("No pairs differ in that alone.")
    return render(request, "tiles/evidence/pairs.html", {"shown": shown})


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def runs(request: StudioRequest, **about: Any) -> HttpResponse:
    """Every stack's chance of running off, or the tiles behind one."""
    scope = _scope(**about)
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


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def repeats(request: StudioRequest, **about: Any) -> HttpResponse:
    """What was fired again under the same conditions."""
    number, lots_aside = request.GET.get("page", ""), request.GET.get("lots") == "aside"
    shown = queries.repeats_page(_scope(**about), number, lots_aside=lots_aside)
    return render(request, "tiles/evidence/repeats.html", {"shown": shown})


def _scope(pk: int | None = None, value: str | None = None, tag: str | None = None) -> Scope:
    """What a page is about: the glaze of that key, all glazes of that surface or tag, or the whole studio."""
    if pk is not None:
        return queries.glaze_scope(get_object_or_404(Glaze, pk=pk))
    if tag is not None:
        if (scope := queries.tag_scope(tag)) is None:
            raise Http404(f"No glaze has the tag {tag}.")
        return scope
    if value is None:
        return queries.studio_scope()
    try:
        return queries.surface_scope(Surface(value))
    except ValueError:
        raise Http404(f"There is no surface {value}.") from None
