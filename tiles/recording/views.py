"""Tiles recorded in the coat grid: made, made again, changed, put in the bin."""

from collections.abc import Sequence

from django.contrib.auth.decorators import login_required, permission_required
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from firings.http import StudioRequest, conflict, say
from firings.models import StaleEdit
from tiles.models import Tile
from tiles.recording import http, queries, services
from tiles.recording.forms import taken_words
from tiles.recording.grid import Recipe
from tiles.recording.http import Sheet


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.add_tile", raise_exception=True)
def new(request: StudioRequest) -> HttpResponse:
    if request.method == "POST":
        return _posted(request)
    return _show(request, http.fresh_sheet(request, timezone.localdate()))


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.add_tile", raise_exception=True)
def again(request: StudioRequest, label: str) -> HttpResponse:
    """New tiles, the page filled from one that exists."""
    if request.method == "POST":
        return _posted(request)
    return _show(request, http.again_sheet(request, _tile(label), timezone.localdate()))


@require_POST
@login_required
@permission_required("tiles.add_tile", raise_exception=True)
def preview(request: StudioRequest) -> HttpResponse:
    """The tiles that would be made, as a piece of the page."""
    return render(request, "tiles/recording/_preview.html", http.preview_of(http.posted_sheet(request)))


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.change_tile", raise_exception=True)
def edit(request: StudioRequest, label: str) -> HttpResponse:
    sheet = http.edit_sheet(request, _tile(label))
    if request.method == "POST" and request.POST.get("do", "save") == "save" and not request.htmx:
        return _change(request, sheet)
    return _show(request, sheet)


@require_POST
@login_required
@permission_required("tiles.change_tile", raise_exception=True)
def bin_tiles(request: StudioRequest) -> HttpResponse:
    """Put the tiles named in the address in the bin."""
    tiles = _named(request)
    services.bin_tiles(tiles, by=request.user)
    undo_url = f"{reverse('tiles:recording:unbin_tiles')}?tiles={_labels(tiles)}"
    say(request, f"{_words(tiles)} put in the bin.", undo_url=undo_url)
    return redirect("tiles:recording:list")


@require_POST
@login_required
@permission_required("tiles.change_tile", raise_exception=True)
def unbin_tiles(request: StudioRequest) -> HttpResponse:
    """Take the tiles named in the address out of the bin."""
    tiles = _named(request)
    services.unbin_tiles(tiles, by=request.user)
    say(request, f"{_words(tiles)} taken out of the bin.")
    return _after(tiles)


@require_safe
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def made(request: StudioRequest) -> HttpResponse:
    """The tiles that were just made together: their numbers to incise, and where to go on."""
    tiles = queries.for_drawing(Tile.objects.filter(number__in=http.asked_numbers(request))).order_by(
        "number"
    )
    page = {"tiles": tiles, "labels": ",".join(tile.label for tile in tiles)}
    return render(request, "tiles/recording/made.html", page)


def _tile(label: str) -> Tile:
    try:
        return queries.for_drawing(Tile.objects.numbered(label)).get()
    except (ValueError, Tile.DoesNotExist):
        raise Http404(f"There is no tile {label}.") from None


def _named(request: StudioRequest) -> list[Tile]:
    return list(Tile.everything.filter(number__in=http.asked_numbers(request)).order_by("number"))


def _labels(tiles: Sequence[Tile]) -> str:
    return ",".join(tile.label for tile in tiles)


def _words(tiles: Sequence[Tile]) -> str:
    """Tiles in a message: one by its number, more by their count and the ends."""
    if len(tiles) == 1:
        return f"Tile {tiles[0]}"
    return f"{len(tiles)} tiles, {tiles[0]} to {tiles[-1]}," if tiles else "No tile"


def _show(request: StudioRequest, sheet: Sheet, *, status: int = 200) -> HttpResponse:
    """The glazing page, or only its grid where the browser asked for that."""
    page = "tiles/recording/_grid.html" if request.htmx else "tiles/recording/sheet.html"
    context = http.page_of(sheet, request, is_returned=status == 422)
    return render(request, page, context, status=status)


def _posted(request: StudioRequest) -> HttpResponse:
    sheet = http.posted_sheet(request)
    if request.htmx or request.POST.get("do", "save") != "save":
        return _show(request, sheet)
    if made := http.sent_before(request):
        return _after(list(Tile.objects.filter(number__in=made).order_by("number")))
    recipes = sheet.recipes() if sheet.is_valid() else []
    return _make(request, sheet, recipes) if recipes else _show(request, sheet, status=422)


def _make(request: StudioRequest, sheet: Sheet, recipes: Sequence[Recipe]) -> HttpResponse:
    try:
        tiles = services.glaze_tiles(recipes, by=request.user)
    except services.NumbersTaken as refused:
        sheet.refuse_numbers(taken_words(refused.taken))
        return _show(request, sheet, status=422)
    http.remember(request, recipes[0])
    http.remember_sent(request, tiles)
    undo_url = f"{reverse('tiles:recording:bin_tiles')}?tiles={_labels(tiles)}"
    say(request, f"{_words(tiles)} kept.", undo_url=undo_url)
    return _after(tiles)


def _after(tiles: Sequence[Tile]) -> HttpResponse:
    """On to the tile, or to the page of all that were made together."""
    if len(tiles) == 1:
        return redirect(tiles[0])
    return redirect(f"{reverse('tiles:recording:made')}?tiles={_labels(tiles)}")


def _change(request: StudioRequest, sheet: Sheet) -> HttpResponse:
    tile = sheet.changed
    if not sheet.is_valid():
        return _show(request, sheet, status=422)
    before = tile.history.values_list("history_id", flat=True).first()
    try:
        services.change_tile(tile.pk, sheet.stamp, sheet.recipes()[0], by=request.user)
    except StaleEdit as stale:
        return conflict(request, sheet, stale.current, back=tile.get_absolute_url())  # type: ignore[arg-type]
    http.remember_sent(request, [tile])
    undo_url = reverse("history:restore", args=["tiles", "tile", tile.pk, before]) if before else ""
    say(request, f"Tile {tile} changed.", undo_url=undo_url)
    return redirect(tile)
