"""Photos close up: their pieces, and the run of a zone measured on one."""

import json
import logging

from django.contrib import messages
from django.contrib.auth.decorators import login_required, permission_required
from django.http import FileResponse, Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from firings.http import StudioRequest, say
from firings.models import CannotUndo
from firings.moments import mark_of
from tiles.closeup import queries, services
from tiles.closeup.forms import RunForm
from tiles.closeup.pyramid import SIDE_PX
from tiles.closeup.queries import RunPage
from tiles.closeup.reading import Reading, read_run
from tiles.closeup.scale import NoScale
from tiles.models import Outcome, Photo
from tiles.photos.renditions import MEDIA_TYPE
from tiles.tilepage.judged import length_words

log = logging.getLogger(__name__)

FOR_A_YEAR = "private, max-age=31536000, immutable"


@require_safe
@login_required
@permission_required("tiles.view_photo", raise_exception=True)
def pyramid(request: StudioRequest, sha256: str) -> HttpResponse:
    """Which pieces a photo has, and its scale where that is known; the scale may be found later, so it is not kept."""
    photo = get_object_or_404(Photo.everything, sha256=sha256)
    try:
        found = queries.pyramid_for(photo)
    except FileNotFoundError:
        raise Http404("The photo’s file is missing.") from None
    page = reverse("tiles:closeup:pyramid", args=[sha256])
    facts = {
        "width": found.width,
        "height": found.height,
        "side": SIDE_PX,
        "levels": list(found.levels) if not photo.damage else [],
        "pieces": page,
        "px_per_mm": queries.subject_of(photo).px_per_mm,
        "unit": request.preferences.length_unit,
    }
    return JsonResponse(facts, headers={"Cache-Control": "private, no-cache"})


@require_safe
@login_required
@permission_required("tiles.view_photo", raise_exception=True)
def piece(request: StudioRequest, sha256: str, level: int, column: int, row: int) -> FileResponse:
    """One piece of a photo at one level. Its bytes never change, so it is kept for a year."""
    photo = get_object_or_404(Photo.everything, sha256=sha256)
    try:
        picture = services.piece_path(photo, level, column, row).open("rb")
    except LookupError as trouble:
        raise Http404(str(trouble)) from None
    except FileNotFoundError:
        log.error("the original of photo %s is missing", sha256)
        raise Http404("The photo’s file is missing.") from None
    return FileResponse(picture, content_type=MEDIA_TYPE, headers={"Cache-Control": FOR_A_YEAR})


@require_safe
@login_required
@permission_required("tiles.change_outcome", raise_exception=True)
def run_of(request: StudioRequest, outcome: int) -> HttpResponse:
    """Measure the run of a zone: on to the photo that shows it best, or word that there is none yet."""
    found = get_object_or_404(Outcome.objects.fired().select_related("tile", "firing", "zone"), pk=outcome)
    filings = queries.filings_showing(found)
    if filings:
        return redirect("tiles:closeup:run", filings[0].photo.sha256, found.pk)
    return render(request, "tiles/closeup/no_photo.html", {"outcome": found})


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("tiles.change_outcome", raise_exception=True)
def run(request: StudioRequest, sha256: str, outcome: int) -> HttpResponse:
    """Measure how far the glaze of a zone ran, on one photo."""
    page = _run_page(sha256, outcome)
    if request.method != "POST":
        return _shown(request, page, _form(request, page))
    form = _form(request, page)
    reading = _read(form, page)
    if reading is None:
        return _shown(request, page, form, 422)
    try:
        kept = services.keep_run(page.photo, page.outcome, reading, by=request.user)
    except services.NotFired as trouble:
        form.add_error(None, str(trouble))
        return _shown(request, page, form, 422)
    undo = reverse("tiles:closeup:undo_run", args=[sha256, outcome, mark_of(kept.read_at)])
    say(request, f"Tile {page.outcome.tile}, {page.outcome.zone}: {_words(request, reading)}.", undo_url=undo)
    return redirect("tiles:closeup:run", sha256, outcome)


@require_safe
@login_required
@permission_required("tiles.change_outcome", raise_exception=True)
def run_length(request: StudioRequest, sha256: str, outcome: int) -> HttpResponse:
    """How long the run is between the marks as they lie now; nothing is kept."""
    page = _run_page(sha256, outcome)
    form = _form(request, page)
    reading = _read(form, page)
    told = {"form": form, "words": _words(request, reading) if reading else ""}
    return render(request, "tiles/closeup/_length.html", told, status=200 if reading else 422)


@require_POST
@login_required
@permission_required("tiles.change_outcome", raise_exception=True)
def undo_run(request: StudioRequest, sha256: str, outcome: int, mark: int) -> HttpResponse:
    """Take back a run that was measured."""
    page = _run_page(sha256, outcome)
    try:
        services.undo_run(page.photo, page.outcome, mark, by=request.user)
    except CannotUndo as trouble:
        messages.warning(request, str(trouble))
    else:
        say(request, f"The run of tile {page.outcome.tile}, {page.outcome.zone} is as it was before.")
    return redirect("tiles:closeup:run", sha256, outcome)


def _run_page(sha256: str, outcome: int) -> RunPage:
    photo = get_object_or_404(Photo.everything, sha256=sha256)
    return queries.run_page(photo, get_object_or_404(queries.outcomes_on(photo), pk=outcome))


def _form(request: StudioRequest, page: RunPage) -> RunForm:
    sent = {"GET": request.GET, "POST": request.POST}.get(request.method or "", request.GET)
    typed = sent if "basis" in sent else None
    first = {"runs_off": page.outcome.runs_off}
    if page.reading:
        first |= {"line": page.reading.line}
    return RunForm(typed, subject=page.subject, preferences=request.preferences, initial=first)


def _read(form: RunForm, page: RunPage) -> Reading | None:
    """The run, or None with the trouble written on the form."""
    if not form.is_valid():
        return None
    try:
        return read_run(form.marks(), page.subject)
    except NoScale as trouble:
        form.add_error(None, str(trouble))
        return None


def _words(request: StudioRequest, reading: Reading) -> str:
    unit = request.preferences.length_unit
    give_or_take = length_words(reading.plus_minus_mm, unit)
    off = ", off the foot" if reading.runs_off else ""
    run_words = f"run {length_words(reading.run_mm, unit)}" if reading.run_mm else "no run"
    return f"{run_words}, give or take {give_or_take}{off}"


def _shown(request: StudioRequest, page: RunPage, form: RunForm, status: int = 200) -> HttpResponse:
    told = {"page": page, "form": form, "scales": json.dumps(page.subject.known_scales())}
    return render(request, "tiles/closeup/run.html", told, status=status)
