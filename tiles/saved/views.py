"""The saved searches: their page, and naming one."""

from functools import partial
from typing import Any

from django.contrib.auth.decorators import login_required, permission_required
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from firings.http import StudioRequest, answer_kept, say_kept, typed_in
from tiles.catalogue.services import keep_record
from tiles.models import SavedSearch
from tiles.saved import queries
from tiles.saved.forms import SavedSearchForm


@require_safe
@login_required
@permission_required("tiles.view_savedsearch", raise_exception=True)
def searches(request: StudioRequest) -> HttpResponse:
    """One's own and the shared ones, each a tap from its results."""
    return render(request, "tiles/saved/list.html", {"saved": queries.shown_to(request.user)})


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("tiles.add_savedsearch", raise_exception=True)
def new(request: StudioRequest) -> HttpResponse:
    """Give the search in the address a name."""
    query = queries.query_of(request.GET.urlencode())
    if not query:
        return render(request, "tiles/saved/nothing.html", status=422)
    search = SavedSearch(owner=request.user, query=query)
    form = SavedSearchForm(typed_in(request), instance=search)
    if request.method == "POST" and form.is_valid():
        kept = keep_record(form, by=request.user)
        say_kept(request, kept, 0, words=f"“{kept}” is kept.", back=reverse("tiles:search:results"))
        return redirect(search.address)
    return _page(request, form, search, "Save this search")


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("tiles.change_savedsearch", raise_exception=True)
def edit(request: StudioRequest, pk: int) -> HttpResponse:
    """Another name; shared or one's own."""
    search = get_object_or_404(SavedSearch.objects.filter(SavedSearch.open_to(request.user)), pk=pk)
    if not SavedSearch.objects.filter(SavedSearch.changeable_by(request.user), pk=pk).exists():
        raise PermissionDenied
    form = SavedSearchForm(typed_in(request), instance=search)
    if request.method == "POST" and form.is_valid():
        keep, page = partial(keep_record, form, by=request.user), reverse("tiles:saved:list")
        return answer_kept(request, form, keep, words="“{}” is kept.", then=page, undone=page, stands=page)
    return _page(request, form, search, "Saved search")


def _page(request: StudioRequest, form: SavedSearchForm, search: SavedSearch, title: str) -> HttpResponse:
    shown: dict[str, Any] = {
        "form": form,
        "title": title,
        "search": search,
        "asks": queries.words_of([search.query])[0],
        "back": reverse("tiles:saved:list") if search.pk else search.address,
    }
    return render(request, "tiles/saved/edit.html", shown, status=422 if form.is_bound else 200)
