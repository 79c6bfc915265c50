"""A typed tile number: on to its tile, or what is wrong with it."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from firings.http import StudioRequest
from tiles import numbers
from tiles.models import Tile
from tiles.numbering import queries


@require_safe
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def find(request: StudioRequest) -> HttpResponse:
    """On to the tile of ?number=; else a page that says what is wrong and which tiles come near."""
    typed = request.GET.get("number", "").strip()
    if not typed:
        return render(request, "tiles/numbering/find.html")
    try:
        number = numbers.read(typed)
    except ValueError as wrong:
        return _nothing(request, typed, str(wrong), status=422)
    if tile := Tile.everything.filter(number=number, binned_at__isnull=True).first():
        return redirect(tile)
    is_binned = Tile.everything.filter(number=number).exists()
    return _nothing(request, typed, _missing_words(number, is_binned=is_binned), status=404)


def _nothing(request: StudioRequest, typed: str, words: str, *, status: int) -> HttpResponse:
    page = {"typed": typed, "words": words, "near": queries.tiles_near(typed)}
    return render(request, "tiles/numbering/find.html", page, status=status)


def _missing_words(number: int, *, is_binned: bool) -> str:
    label = numbers.write(number)
    if is_binned:
        return f"Tile {label} is in the bin."
    return f"{label} is a sound number, but no tile has it here."


@require_safe
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def number_check(request: StudioRequest) -> HttpResponse:
    """What the number box asks while a person types: is there a tile ?number=, or with ?for=free, is there none."""
    try:
        number = numbers.read(request.GET.get("number", ""))
    except ValueError as wrong:
        return JsonResponse({"words": str(wrong)}, status=422)
    is_given = Tile.everything.filter(number=number).exists()
    is_wanted_free = request.GET.get("for") == "free"
    if is_given == is_wanted_free:
        label = numbers.write(number)
        words = f"There is a tile {label} already." if is_given else f"No tile {label} is recorded here."
        return JsonResponse({"words": words}, status=422)
    return JsonResponse({"words": ""})
