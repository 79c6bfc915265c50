"""Sorting photos: the tray, a number typed, a filing taken back."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from firings.http import StudioRequest, say
from tiles.models import Photo, PhotoFiling
from tiles.photos.http import FOR_A_YEAR, way_back
from tiles.photos.renditions import MEDIA_TYPE
from tiles.tray import queries, services
from tiles.tray.http import gone_from_tray, photo_page, say_filed, tray_page
from tiles.tray.parts.services import part_path


@require_safe
@login_required
@permission_required("tiles.view_photo", raise_exception=True)
def tray(request: StudioRequest) -> HttpResponse:
    """The sorting tray: photos that are stored but not yet tied to a tile, each with the reason."""
    return tray_page(request)


@require_safe
@login_required
@permission_required("tiles.view_photo", raise_exception=True)
def part(request: StudioRequest, sha256: str, share: str, size: str) -> FileResponse:
    """A tile's part of a photo that shows several, at one size; only parts that tiles are filed with are cut."""
    photo = get_object_or_404(Photo.everything, sha256=sha256)
    wanted = next((one for one in queries.shares_of(photo) if one.written == share), None)
    if wanted is None:
        raise Http404("No tile is filed with this part of the photo.")
    try:
        picture = part_path(photo, wanted, size).open("rb")
    except FileNotFoundError:
        raise Http404("The photo’s file is missing.") from None
    return FileResponse(picture, content_type=MEDIA_TYPE, headers={"Cache-Control": FOR_A_YEAR})


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.change_photo", raise_exception=True)
def file(request: StudioRequest, sha256: str) -> HttpResponse:
    """File a photo to the tile of a typed number."""
    photo = get_object_or_404(Photo, sha256=sha256)
    if request.method == "GET":
        return redirect("tiles:photos:photo", sha256)
    typed = request.POST.get("number", "")
    try:
        filed = services.file_by_number(photo, typed, by=request.user)
    except ValueError as wrong:
        told = {"typed": typed, "problem": str(wrong)}
        if request.htmx:
            return render(request, "tiles/tray/_waiting.html", {"photo": photo, **told}, status=422)
        return photo_page(request, photo, status=422, **told)
    say_filed(request, filed, f"The photo is kept with tile {filed.tile.label}.")
    return gone_from_tray(request)


@require_POST
@login_required
@permission_required("tiles.change_photo", raise_exception=True)
def unfile(request: StudioRequest, filing: int) -> HttpResponse:
    """Take a photo off a tile."""
    filed = get_object_or_404(PhotoFiling.objects.select_related("photo", "tile"), pk=filing)
    history_id = services.unfile_photo(filed, by=request.user)
    undo_url = reverse("tiles:tray:refile", args=[history_id])
    say(request, f"The photo is off tile {filed.tile.label}.", undo_url=undo_url)
    return redirect(way_back(request, reverse("tiles:tray:tray")))


@require_POST
@login_required
@permission_required("tiles.change_photo", raise_exception=True)
def refile(request: StudioRequest, history_id: int) -> HttpResponse:
    """Undo taking a photo off a tile."""
    get_object_or_404(PhotoFiling.history, history_id=history_id, history_type="-")
    filed = services.refile_photo(history_id, by=request.user)
    say_filed(request, filed, f"The photo is back with tile {filed.tile.label}.")
    return redirect(way_back(request, reverse("tiles:tray:tray")))
