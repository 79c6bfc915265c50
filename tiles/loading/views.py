"""The loading page of a firing: tiles onto shelves and off again."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from firings.http import StudioRequest, say, typed_in
from firings.kilns.cautions import LOADING
from firings.models import CannotUndo, Firing
from firings.vocabulary import Purpose
from tiles.loading import queries, services
from tiles.loading.forms import PLACES, MoveForm, PlaceForm
from tiles.loading.packing import proposed_words
from tiles.loading.warnings import tile_words
from tiles.models import Placement, Tile

# A message that fills a phone hides what it is about.
SAID_AT_ONCE = 2


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("tiles.change_placement", raise_exception=True)
def firing(request: StudioRequest, firing_number: int) -> HttpResponse:
    """Load a firing: choose tiles, put them on a shelf, see the shelves and what to mind."""
    loaded = _firing(firing_number)
    waiting = queries.waiting_for(loaded)
    form = PlaceForm(
        typed_in(request), firing=loaded, series=waiting.series, initial=_sticky(request, loaded)
    )
    if request.method == "POST" and form.is_valid():
        return _place(request, loaded, form)
    load = queries.load_of(loaded)
    page = {
        "firing": loaded,
        "form": form,
        "waiting": waiting,
        "ticked": set(request.POST.getlist("tiles")),
        "places": PLACES,
        **_floors(loaded, load),
        "caution": LOADING,
    }
    return render(request, "tiles/loading/firing.html", page, status=422 if form.errors else 200)


def _floors(loaded: Firing, load: queries.Load) -> dict[str, Any]:
    """The shelves from above, and the form that moves a piece without dragging it."""
    plans = queries.drawn(load)
    rows = [(row, plans.get(row.shelf.pk) if row.shelf else None) for row in load.shelves]
    return {"load": load, "rows": rows, "move": MoveForm(firing=loaded, pieces=queries.movable(load, plans))}


def _firing(number: int) -> Firing:
    return get_object_or_404(Firing.objects.select_related("kiln"), number=number)


def _sticky(request: StudioRequest, loaded: Firing) -> dict[str, Any]:
    """The shelf and place of the last tiles put into this firing: the next ones mostly go there too."""
    last = loaded.placements.order_by("pk").last()
    return {"shelf": last.shelf_id, "place": last.place} if last else {}


def _place(request: StudioRequest, loaded: Firing, form: PlaceForm) -> HttpResponse:
    given = form.cleaned_data
    done = services.place_tiles(
        loaded,
        form.tile_ids,
        given.get("shelf"),
        given.get("place", ""),
        given.get("on_cookie", False),
        by=request.user,
    )
    undo = reverse("tiles:loading:undo", args=[loaded.number, *done.undo]) if done.undo else ""
    words = _words(done, loaded)
    if amiss := queries.amiss_in(loaded, form.tile_ids):
        more = ["more below"] if len(amiss) > SAID_AT_ONCE else []
        meant = "; ".join([*amiss[:SAID_AT_ONCE], *more])
        messages.warning(request, f"{words} Meant for another cone: {meant}.", extra_tags=undo)
    else:
        say(request, words, undo_url=undo)
    return redirect("tiles:loading:firing", loaded.number)


def _words(done: services.Loaded, loaded: Firing) -> str:
    placed = f"{done.placed} tile{'' if done.placed == 1 else 's'} put into {loaded.label}."
    moved = f"{done.moved} moved." if done.moved else ""
    return " ".join(filter(None, (placed if done.placed or not done.moved else "", moved)))


@require_POST
@login_required
@permission_required("tiles.change_placement", raise_exception=True)
def take_off(request: StudioRequest, firing_number: int) -> HttpResponse:
    """Take one tile out of the firing."""
    loaded = _firing(firing_number)
    try:
        tile = get_object_or_404(Tile.objects.numbered(request.POST.get("tile", "")))
    except ValueError as trouble:
        messages.error(request, str(trouble))
        return redirect("tiles:loading:firing", loaded.number)
    if loaded.purpose == Purpose.BISQUE.value:
        _out_of_bisque(request, loaded, tile)
    else:
        _off_the_shelf(request, loaded, tile)
    return redirect("tiles:loading:firing", loaded.number)


def _out_of_bisque(request: StudioRequest, loaded: Firing, tile: Tile) -> None:
    if tile.bisque_firing_id == loaded.pk:
        services.take_out_of_bisque(tile, by=request.user)
        say(request, f"Tile {tile.label} taken out of {loaded.label}.")


def _off_the_shelf(request: StudioRequest, loaded: Firing, tile: Tile) -> None:
    placement = get_object_or_404(
        Placement.objects.select_related("tile", "firing"), firing=loaded, tile=tile
    )
    try:
        undo = services.take_off(placement, by=request.user)
    except services.CannotTakeOff as trouble:
        messages.error(request, str(trouble))
    else:
        say(
            request,
            f"Tile {tile.label} taken out of {loaded.label}.",
            undo_url=reverse("tiles:loading:undo", args=[loaded.number, *undo]),
        )


@require_POST
@login_required
@permission_required("tiles.change_placement", raise_exception=True)
def move(request: StudioRequest, firing_number: int) -> HttpResponse:
    """Put one tile, or a pack of witness cones, elsewhere."""
    loaded = _firing(firing_number)
    form = MoveForm(request.POST, firing=loaded, pieces=[])
    if not form.is_valid():
        trouble = "; ".join(str(one) for found in form.errors.values() for one in found)
        messages.error(request, f"Nothing was moved. {trouble}")
    else:
        _move(request, loaded, form)
    return redirect(f"{reverse('tiles:loading:firing', args=[loaded.number])}#shelves")


def _move(request: StudioRequest, loaded: Firing, form: MoveForm) -> None:
    piece = form.cleaned_data["piece"]
    try:
        if piece.is_cones:
            span = services.move_cones(loaded, piece.keys, piece.mark, form.move(), by=request.user)
        else:
            span = services.move_tile(loaded, piece.keys[0], piece.mark, form.move(), by=request.user)
    except (services.MovedMeanwhile, services.StaysInside) as trouble:
        messages.error(request, str(trouble))
    else:
        name = "tiles:loading:undo_cones" if piece.is_cones else "tiles:loading:undo"
        what = "Witness cones moved." if piece.is_cones else "Moved."
        say(request, what, undo_url=reverse(name, args=[loaded.number, *span]))


@require_POST
@login_required
@permission_required("tiles.change_placement", raise_exception=True)
def propose(request: StudioRequest, firing_number: int) -> HttpResponse:
    """Give every tile a place that no person gave one."""
    loaded = _firing(firing_number)
    done = services.propose_load(loaded, by=request.user)
    undo = reverse("tiles:loading:undo", args=[loaded.number, *done.undo]) if done.undo else ""
    say(request, proposed_words(done.placed, done.elsewhere), undo_url=undo)
    for why, labels in done.left_out.items():
        messages.warning(request, f"No place for {tile_words(labels)}. {why}")
    return redirect(f"{reverse('tiles:loading:firing', args=[loaded.number])}#shelves")


@require_POST
@login_required
@permission_required("tiles.change_placement", raise_exception=True)
def undo_cones(request: StudioRequest, firing_number: int, first: int, last: int) -> HttpResponse:
    """Take a move of witness cones back."""
    loaded = _firing(firing_number)
    try:
        services.take_cones_back(loaded, first, last, by=request.user)
    except CannotUndo as trouble:
        messages.error(request, str(trouble))
    else:
        say(request, "Witness cones as before.")
    return redirect("tiles:loading:firing", loaded.number)


@require_POST
@login_required
@permission_required("tiles.change_placement", raise_exception=True)
def undo(request: StudioRequest, firing_number: int, first: int, last: int) -> HttpResponse:
    """Take back what was done to the load."""
    loaded = _firing(firing_number)
    try:
        count = services.take_back(loaded, first, last, by=request.user)
    except (CannotUndo, services.CannotTakeOff) as trouble:
        messages.error(request, str(trouble))
    else:
        say(request, f"{count} tile{'' if count == 1 else 's'} as before.")
    return redirect("tiles:loading:firing", loaded.number)
