"""Which tiles to glaze, the session at the bench, and the sheet typed in afterwards."""

from collections.abc import Sequence
from urllib.parse import urlencode

from django.contrib import messages
from django.contrib.auth.decorators import login_required, permission_required
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from firings.http import StudioRequest, say, typed_in
from tiles.glazing import queries, services
from tiles.glazing.forms import ChooseForm, DetailsForm, SheetForm
from tiles.glazing.http import asked_tile, chosen
from tiles.models import Layer, Tile


@require_safe
@login_required
@permission_required("tiles.change_tile", raise_exception=True)
def choose(request: StudioRequest) -> HttpResponse:
    """What waits for glaze, series by series."""
    form = ChooseForm(request.GET if "tiles" in request.GET else None)
    if form.is_bound and form.is_valid():
        labels = ",".join(tile.label for tile in form.cleaned_data["tiles"])
        return redirect(f"{reverse('tiles:glazing:session')}?{urlencode({'tiles': labels})}")
    page = {
        "form": form,
        "all_series": queries.series_to_glaze(),
        "count": queries.to_glaze().count(),
    }
    return render(request, "tiles/glazing/choose.html", page, status=422 if form.errors else 200)


@require_safe
@login_required
@permission_required("tiles.change_tile", raise_exception=True)
def session(request: StudioRequest) -> HttpResponse:
    """The tile whose turn it is, what to brush on it, and how far the others are."""
    try:
        return _show(request)
    except Http404:
        typed = request.GET.get("tiles", "")
        if not typed or ChooseForm(request.GET).is_valid():
            raise
        return redirect(f"{reverse('tiles:glazing:choose')}?{urlencode({'tiles': typed})}")


def _show(request: StudioRequest, form: DetailsForm | None = None, tile: int | None = None) -> HttpResponse:
    shown = queries.session(chosen(request), timezone.now(), tile or asked_tile(request))
    turn = shown.turn
    if turn and form is None:
        form = DetailsForm(turn.layer.glaze_id, initial=turn.details)
    page = {"session": shown, "turn": turn, "form": form}
    part = "tiles/glazing/_session.html" if request.htmx else "tiles/glazing/session.html"
    return render(request, part, page, status=422 if form and form.errors else 200)


def _here(request: StudioRequest) -> str:
    """The session's address without the tile that was picked out of turn."""
    asked = request.GET.copy()
    asked.pop("tile", None)
    query = asked.urlencode()
    return f"{reverse('tiles:glazing:session')}{'?' if query else ''}{query}"


@require_POST
@login_required
@permission_required("tiles.change_tile", raise_exception=True)
def lay(request: StudioRequest, layer: int, number: int) -> HttpResponse:
    """One coat is on."""
    glaze, tile = Layer.objects.filter(pk=layer).values_list("glaze", "tile__number").first() or (0, None)
    form = DetailsForm(glaze, request.POST)
    if not form.is_valid():
        return _show(request, form, tile)
    try:
        laid = services.lay_coat(layer, number, form.details(), by=request.user, ago=form.ago())
    except services.NotTheNext as why:
        messages.warning(request, str(why))
    else:
        if laid.laid_by != request.user:
            at = timezone.localtime(laid.laid_at)
            messages.warning(
                request,
                f"{laid.laid_by or 'Somebody'} noted that coat at {at:%H:%M} already; it is one coat.",
            )
    return redirect(_here(request))


@require_POST
@login_required
@permission_required("tiles.change_tile", raise_exception=True)
def one_more(request: StudioRequest, layer: int, number: int) -> HttpResponse:
    """A coat more than planned is on."""
    try:
        tile = services.lay_one_more(layer, number, by=request.user)
    except services.NotTheNext as why:
        messages.warning(request, str(why))
    else:
        say(request, f"{tile.label} has {number} coats; its layers say so now.")
    return redirect(_here(request))


@require_POST
@login_required
@permission_required("tiles.change_tile", raise_exception=True)
def leave(request: StudioRequest, layer: int, coats: int) -> HttpResponse:
    """No more coats of this layer go on."""
    try:
        tile = services.leave_at(layer, coats, by=request.user)
    except services.NotTheNext as why:
        messages.warning(request, str(why))
    else:
        words = "1 coat" if coats == 1 else f"{coats} coats"
        say(request, f"{tile.label} is left at {words}; its layers say so now.")
    return redirect(_here(request))


@require_POST
@login_required
@permission_required("tiles.change_tile", raise_exception=True)
def take_back(request: StudioRequest, coat: int) -> HttpResponse:
    """The coat noted last was none."""
    try:
        tile = services.take_back(coat, by=request.user)
    except services.NotTheNext as why:
        messages.warning(request, str(why))
        return redirect(_here(request))
    asked = request.GET.copy()
    asked["tile"] = tile.label
    return redirect(f"{reverse('tiles:glazing:session')}?{asked.urlencode()}")


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("tiles.change_tile", raise_exception=True)
def sheet(request: StudioRequest) -> HttpResponse:
    """The clip-board sheet, typed in once the tiles are glazed."""
    asked = chosen(request)
    waiting = [tile for tile in asked.tiles if queries.is_to_glaze(tile)]
    form = SheetForm(waiting, typed_in(request))
    if request.method == "POST" and waiting and form.is_valid():
        try:
            written = services.write_down(form.written(), form.day(), form.details(), by=request.user)
        except services.TilesChanged as changed:
            labels = ", ".join(str(tile) for tile in changed.tiles)
            form.add_error(
                None,
                f"Somebody changed {labels} meanwhile. Nothing was kept. What you typed is below: "
                "look at those tiles, take their ticks off here, and keep the rest.",
            )
        else:
            words = f"{len(written)} {'tile is' if len(written) == 1 else 'tiles are'} noted as glazed."
            say(request, words, undo_url=_undo_address(request, written))
            return redirect(f"{reverse('tiles:glazing:session')}?{asked.address}")
    page = {"chosen": asked, "form": form, "waiting": waiting}
    return render(request, "tiles/glazing/sheet.html", page, status=422 if form.errors else 200)


def _undo_address(request: StudioRequest, written: Sequence[Tile]) -> str:
    """Where all that a sheet noted is taken back at once, and the way back to the sheet."""
    asked = {
        "these": ",".join(map(str, queries.versions_of(written))),
        "next": request.get_full_path(),
    }
    return f"{reverse('history:take_back', args=['tiles', 'tile'])}?{urlencode(asked, safe=',')}"
