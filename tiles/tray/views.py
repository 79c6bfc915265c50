"""Sorting photos: the tray, one photo after the other, suggestions side by side, and taking all of it back."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import FileResponse, Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from firings.http import StudioRequest, say
from firings.words import listed
from tiles.models import Photo, PhotoFiling
from tiles.photos.http import FOR_A_YEAR, placeholder, way_back
from tiles.photos.renditions import MEDIA_TYPE, Size
from tiles.photos.services import is_still_to_come
from tiles.tray import queries, services
from tiles.tray.forms import AcceptForm, TogetherForm, filings_of_keys, taken_off_of_keys
from tiles.tray.http import (
    gone_from_tray,
    photo_page,
    say_filed,
    say_filed_together,
    sorting_page,
    tray_page,
)
from tiles.tray.parts.services import part_path
from tiles.tray.shooting import queries as shooting
from tiles.vocabulary import FiledBy

# What a form sends along when it stands on the page of one photo after the other.
SORTING = "sort"


@require_safe
@login_required
@permission_required("tiles.view_photo", raise_exception=True)
def tray(request: StudioRequest) -> HttpResponse:
    """The sorting tray: photos that are stored but not yet tied to a tile, each with the reason."""
    return tray_page(request)


@require_safe
@login_required
@permission_required("tiles.add_photo", raise_exception=True)
def burst(request: StudioRequest) -> HttpResponse:
    """Photographing one tile after the other with one large button; `firing` is the one being unloaded."""
    firing = queries.firing_of_number(request.GET.get("firing", ""))
    left, total = shooting.without_photo(firing) if firing else (0, 0)
    return render(request, "tiles/tray/burst.html", {"firing": firing, "left": left, "total": total})


@require_safe
@login_required
@permission_required("tiles.change_photo", raise_exception=True)
def sort(request: StudioRequest) -> HttpResponse:
    """One waiting photo after the other; `photo` names the one to begin with."""
    return sorting_page(request, request.GET.get("photo", ""))


@require_safe
@login_required
@permission_required("tiles.view_photo", raise_exception=True)
def runs(request: StudioRequest) -> HttpResponse:
    """What the order of shooting suggests, each run of photos side by side with the tiles it may show."""
    return render(request, "tiles/tray/runs.html", {"runs": shooting.waiting_runs()})


@require_safe
@login_required
@permission_required("tiles.view_photo", raise_exception=True)
def states(request: StudioRequest) -> JsonResponse:
    """How far photos have come, by name, for the queue on the phone: stored, filed or in the tray."""
    return JsonResponse(queries.states_of(request.GET.get("photos", "").split(",")))


@require_safe
@login_required
@permission_required("tiles.view_photo", raise_exception=True)
def part(request: StudioRequest, sha256: str, share: str, size: str) -> HttpResponse | FileResponse:
    """A tile's part of a photo that shows several, at one size; only parts that tiles are filed with are cut."""
    photo = get_object_or_404(Photo.everything, sha256=sha256)
    wanted = next((one for one in queries.shares_of(photo) if one.written == share), None)
    if wanted is None:
        raise Http404("No tile is filed with this part of the photo.")
    try:
        if is_still_to_come(photo, Size.LARGE):
            return placeholder()
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
        filed = services.file_by_number(photo, typed, by=request.user, how=_how(request))
    except ValueError as wrong:
        return _not_filed(request, photo, typed, str(wrong))
    others = queries.other_tiles_of(filed)
    also = f" It is on {listed(others)} too." if others else ""
    say_filed(request, filed, f"The photo is kept with tile {filed.tile.label}.{also}")
    if request.POST.get("then") == SORTING:
        return _go_on_sorting(request, request.POST.get("following", ""))
    return gone_from_tray(request)


def _how(request: StudioRequest) -> FiledBy:
    """By hand, unless a suggestion was accepted."""
    return FiledBy.ORDER if request.POST.get("how") == FiledBy.ORDER.value else FiledBy.HAND


def _not_filed(request: StudioRequest, photo: Photo, typed: str, problem: str) -> HttpResponse:
    """The page it was typed on, with what was typed and what is wrong with it."""
    told = {"typed": typed, "problem": problem}
    if request.POST.get("then") == SORTING:
        return sorting_page(request, photo.sha256, status=422, **told)
    if request.htmx:
        page = {"photo": photo, "perhaps": shooting.suggestions().get(photo.pk), **told}
        return render(request, "tiles/tray/_waiting.html", page, status=422)
    return photo_page(request, photo, status=422, **told)


def _go_on_sorting(request: StudioRequest, sha256: str) -> HttpResponse:
    if request.htmx:
        return sorting_page(request, sha256)
    return redirect(f"{reverse('tiles:tray:sort')}?{urlencode({'photo': sha256})}")


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.change_photo", raise_exception=True)
def together(request: StudioRequest) -> HttpResponse:
    """File several photos to one tile."""
    if request.method == "GET":
        return redirect("tiles:tray:tray")
    form = TogetherForm(request.POST)
    if not form.is_valid():
        told = {"typed_together": request.POST.get("number", ""), "chosen": request.POST.getlist("photo")}
        return tray_page(request, status=422, problem_together=form.problem(), **told)
    photos, tile = form.cleaned_data["photo"], form.cleaned_data["number"]
    filings = services.file_together([(photo, tile) for photo in photos], by=request.user)
    say_filed_together(request, filings, f"{_photos(len(filings))} kept with tile {tile.label}.")
    return redirect("tiles:tray:tray")


def _photos(count: int) -> str:
    return "One photo is" if count == 1 else f"{count} photos are"


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.change_photo", raise_exception=True)
def accept(request: StudioRequest) -> HttpResponse:
    """File photos to the tiles the order of shooting suggested, as a person saw and accepted them."""
    if request.method == "GET":
        return redirect("tiles:tray:runs")
    form = AcceptForm(request.POST)
    if not form.is_valid():
        say(request, "Nothing was filed. Tick the photos to file first.")
        return redirect("tiles:tray:runs")
    taken = form.cleaned_data["take"]
    filings = services.file_together(taken.pairs, by=request.user, how=FiledBy.ORDER)
    labels = ", ".join(filed.tile.label for filed in filings[:3]) + (" …" if len(filings) > 3 else "")
    if filings:
        say_filed_together(request, filings, f"{_photos(len(filings))} kept with {labels}.")
    if taken.late:
        say(request, f"{taken.late} of them had left the tray meanwhile and stayed as they are.")
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
    if request.POST.get("then") == SORTING:
        return _go_on_sorting(request, filed.photo.sha256)
    return redirect(way_back(request, reverse("tiles:tray:tray")))


@require_POST
@login_required
@permission_required("tiles.change_photo", raise_exception=True)
def unfile_together(request: StudioRequest) -> HttpResponse:
    """Take several photos off their tiles in one step; `these` are the keys of their filings."""
    filings = filings_of_keys(request.GET.get("these", ""))
    history_ids = services.unfile_together(filings, by=request.user)
    these = ",".join(str(history_id) for history_id in history_ids)
    undo_url = f"{reverse('tiles:tray:refile_together')}?these={these}" if these else ""
    say(request, f"{_photos(len(filings))} back in the sorting tray.", undo_url=undo_url)
    return redirect(way_back(request, reverse("tiles:tray:tray")))


@require_POST
@login_required
@permission_required("tiles.change_photo", raise_exception=True)
def refile_together(request: StudioRequest) -> HttpResponse:
    """Undo taking several photos off their tiles."""
    history_ids = taken_off_of_keys(request.GET.get("these", ""))
    filings = services.refile_together(history_ids, by=request.user)
    say_filed_together(request, filings, f"{_photos(len(filings))} back with their tiles.")
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
