"""Standards, and what is missing of them."""

from functools import partial

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from firings.http import StudioRequest, answer_kept, typed_in
from tiles.catalogue.services import keep_record
from tiles.gaps import queries
from tiles.gaps.forms import StandardForm
from tiles.gaps.series import queries as series_queries
from tiles.models import Glaze, Series, StudioStandard


@require_safe
@login_required
@permission_required("tiles.view_studiostandard", raise_exception=True)
def index(request: StudioRequest) -> HttpResponse:
    """All standards, and all planned series with what each lacks."""
    shown = {
        "standards": queries.standards(),
        "series": series_queries.series_listed(request.GET.get("page", "")),
    }
    return render(request, "tiles/gaps/index.html", shown)


@require_safe
@login_required
@permission_required("tiles.view_series", raise_exception=True)
def series(request: StudioRequest, pk: int) -> HttpResponse:
    """One series: what it asks for against what was fired."""
    page = series_queries.series_page(get_object_or_404(Series, pk=pk))
    return render(request, "tiles/gaps/series.html", {"page": page})


@require_safe
@login_required
@permission_required("tiles.view_studiostandard", raise_exception=True)
def standard(request: StudioRequest, pk: int) -> HttpResponse:
    """All glazes against one standard."""
    page = queries.overview(get_object_or_404(StudioStandard, pk=pk))
    return render(request, "tiles/gaps/standard.html", {"page": page})


@require_safe
@login_required
@permission_required("tiles.view_studiostandard", raise_exception=True)
def glaze(request: StudioRequest, pk: int, glaze: int) -> HttpResponse:
    """One glaze against one standard."""
    page = queries.glaze_page(get_object_or_404(StudioStandard, pk=pk), get_object_or_404(Glaze, pk=glaze))
    return render(request, "tiles/gaps/glaze.html", {"page": page})


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.add_studiostandard", raise_exception=True)
def new(request: StudioRequest) -> HttpResponse:
    return _kept(request, StandardForm(typed_in(request)), reverse("tiles:gaps:index"))


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.change_studiostandard", raise_exception=True)
def edit(request: StudioRequest, pk: int) -> HttpResponse:
    standing = get_object_or_404(StudioStandard, pk=pk)
    return _kept(
        request, StandardForm(typed_in(request), instance=standing), reverse("tiles:gaps:standard", args=[pk])
    )


def _kept(request: StudioRequest, form: StandardForm, back: str) -> HttpResponse:
    if request.method == "POST" and form.is_valid():
        keep, undone = partial(keep_record, form, by=request.user), "" if form.instance.pk else back
        return answer_kept(request, form, keep, words="The standard {} is kept.", undone=undone, stands=back)
    page = {"form": form, "title": "A standard", "back": back}
    return render(request, "tiles/catalogue/edit.html", page, status=422 if form.is_bound else 200)
