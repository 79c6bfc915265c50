"""Places: their list, what is in one, putting tiles there, and the list to bring tiles by."""

from functools import partial
from typing import Any

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from firings.http import (
    StudioRequest,
    answer_kept,
    next_form,
    say,
    say_kept,
    typed_in,
    wants_next,
    written_before,
)
from firings.moments import mark_of
from tiles.catalogue.services import keep_record
from tiles.models import Place
from tiles.places import queries, services
from tiles.places.forms import PlaceForm, TilesForm


@require_safe
@login_required
@permission_required("tiles.view_place", raise_exception=True)
def places(request: StudioRequest) -> HttpResponse:
    """All places of the studio."""
    return render(request, "tiles/places/list.html", {"places": queries.places()})


@require_safe
@login_required
@permission_required("tiles.view_place", raise_exception=True)
def bring(request: StudioRequest) -> HttpResponse:
    """Where each of the typed tiles is, in the order in which one walks."""
    form = TilesForm(request.GET if request.GET else None)
    found = queries.to_bring(form.cleaned_data["numbers"]) if form.is_bound and form.is_valid() else []
    status = 422 if form.is_bound and form.errors else 200
    return render(request, "tiles/places/bring.html", {"form": form, "found": found}, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("tiles.add_place", raise_exception=True)
def new(request: StudioRequest) -> HttpResponse:
    """A new box, shelf or drawer."""
    form = PlaceForm(typed_in(request), like=written_before(request, Place))
    if request.method == "POST" and form.is_valid():
        kept = keep_record(form, by=request.user)
        words = f"“{kept}” is kept."
        if wants_next(request):
            say_kept(request, kept, 0, words=words, back=request.path)
            return next_form(request, kept)
        say_kept(request, kept, 0, words=words, back=reverse("tiles:places:list"))
        return redirect("tiles:places:place", kept.pk)
    return _form_page(request, form, "New place", reverse("tiles:places:list"))


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("tiles.change_place", raise_exception=True)
def edit(request: StudioRequest, pk: int) -> HttpResponse:
    """Another name."""
    found = get_object_or_404(Place, pk=pk)
    page = found.get_absolute_url()
    form = PlaceForm(typed_in(request), instance=found)
    if request.method == "POST" and form.is_valid():
        keep = partial(keep_record, form, by=request.user)
        return answer_kept(request, form, keep, words="“{}” is kept.", stands=page)
    return _form_page(request, form, "Change the place", page)


def _form_page(request: StudioRequest, form: PlaceForm, title: str, back: str) -> HttpResponse:
    shown = {"form": form, "title": title, "back": back, "place": form.instance}
    return render(request, "tiles/places/edit.html", shown, status=422 if form.is_bound else 200)


@require_safe
@login_required
@permission_required("tiles.view_place", raise_exception=True)
def place(request: StudioRequest, pk: int) -> HttpResponse:
    """What is in a place."""
    return _place_page(request, get_object_or_404(Place, pk=pk))


def _place_page(request: StudioRequest, place: Place, **form: Any) -> HttpResponse:
    shown = {
        "place": place,
        "kept": queries.tiles_in(place),
        "put": form.get("put") or TilesForm(auto_id="put_%s"),
        "take": form.get("take") or TilesForm(auto_id="take_%s"),
    }
    return render(request, "tiles/places/place.html", shown, status=422 if form else 200)


@require_POST
@login_required
@permission_required("tiles.change_tile", raise_exception=True)
def put(request: StudioRequest, pk: int) -> HttpResponse:
    """Note that tiles are kept here now."""
    found, form = get_object_or_404(Place, pk=pk), TilesForm(request.POST, auto_id="put_%s")
    if not form.is_valid():
        return _place_page(request, found, put=form)
    return _kept(request, found, form, found, f"kept in “{found}” now")


@require_POST
@login_required
@permission_required("tiles.change_tile", raise_exception=True)
def take(request: StudioRequest, pk: int) -> HttpResponse:
    """Note that tiles are not here any more."""
    found, form = get_object_or_404(Place, pk=pk), TilesForm(request.POST, auto_id="take_%s")
    if not form.is_valid():
        return _place_page(request, found, take=form)
    return _kept(request, found, form, None, "in no place that is known now")


def _kept(
    request: StudioRequest, page: Place, form: TilesForm, place: Place | None, said: str
) -> HttpResponse:
    tiles = form.cleaned_data["numbers"]
    moment = services.keep_in(tiles, place, by=request.user)
    address = page.get_absolute_url()
    count = f"{tiles[0].label} is" if len(tiles) == 1 else f"{len(tiles)} tiles are"
    undo_url = f"{reverse('tiles:boards:undo', args=[mark_of(moment)])}?next={address}"
    say(request, f"{count} {said}.", undo_url=undo_url)
    return redirect(address)
