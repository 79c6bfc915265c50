"""Pages of series."""

from functools import partial

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from firings.http import StudioRequest, answer_kept, quick_added, quick_form, say, typed_in
from tiles.catalogue.services import keep_record
from tiles.glazing import queries as glazing
from tiles.models import Series
from tiles.series import queries, services
from tiles.series.forms import AssignForm, SeriesAddForm, SeriesForm


@require_safe
@login_required
@permission_required("tiles.view_series", raise_exception=True)
def series_list(request: StudioRequest) -> HttpResponse:
    page = queries.series_listed(request.GET.get("page", ""))
    return render(request, "tiles/series/list.html", {"page": page})


@require_safe
@login_required
@permission_required("tiles.view_series", raise_exception=True)
def series(request: StudioRequest, pk: int) -> HttpResponse:
    shown = get_object_or_404(queries.with_progress(Series.objects.all()), pk=pk)
    return _show(request, shown, AssignForm())


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.add_series", raise_exception=True)
def new_series(request: StudioRequest) -> HttpResponse:
    return _kept(request, SeriesForm(typed_in(request)))


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.add_series", raise_exception=True)
def series_add(request: StudioRequest) -> HttpResponse:
    """A series begun from the page of new tiles."""
    form = SeriesAddForm(typed_in(request))
    if request.method == "POST" and form.is_valid():
        kept = keep_record(form, by=request.user)
        return quick_added(request, kept, "series", page=form.instance.get_absolute_url())  # type: ignore[attr-defined]
    return quick_form(request, form, "A new series")


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.change_series", raise_exception=True)
def edit_series(request: StudioRequest, pk: int) -> HttpResponse:
    return _kept(request, SeriesForm(typed_in(request), instance=get_object_or_404(Series, pk=pk)))


@require_POST
@login_required
@permission_required("tiles.change_tile", raise_exception=True)
def assign(request: StudioRequest, pk: int) -> HttpResponse:
    """Take tiles, by their numbers, into a series."""
    taking = get_object_or_404(queries.with_progress(Series.objects.all()), pk=pk)
    form = AssignForm(request.POST)
    if not form.is_valid():
        return _show(request, taking, form, status=422)
    tiles = form.cleaned_data["tiles"]
    services.assign(tiles, taking, by=request.user)
    say(request, f"{len(tiles)} {'tile' if len(tiles) == 1 else 'tiles'} taken into {taking}.")
    return redirect(taking)


def _show(request: StudioRequest, shown: Series, form: AssignForm, *, status: int = 200) -> HttpResponse:
    tiles = list(queries.tiles_of(shown))
    labels = ",".join(tile.label for tile in tiles)
    to_glaze = glazing.to_glaze().filter(series=shown).count()
    page = {
        "series": shown,
        "tiles": tiles,
        "labels": labels,
        "to_glaze": to_glaze,
        "to_judge": queries.firings_to_judge(shown),
        "form": form,
    }
    return render(request, "tiles/series/series.html", page, status=status)


def _kept(request: StudioRequest, form: SeriesForm) -> HttpResponse:
    if request.method == "POST" and form.is_valid():
        page = form.instance.get_absolute_url() if form.instance.pk else ""  # type: ignore[attr-defined]
        keep = partial(keep_record, form, by=request.user)
        return answer_kept(request, form, keep, words="Series {} is kept.", stands=page)
    status = 422 if request.method == "POST" else 200
    return render(request, "tiles/series/edit.html", {"form": form}, status=status)
