"""Measuring colours: on a photo, by an instrument; which reading counts; and the map of colours."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from firings.http import StudioRequest, say, way_on
from firings.keys import key_of
from firings.models import CannotUndo
from tiles.colour import queries, services
from tiles.colour.atlas.queries import map_of, read_around
from tiles.colour.forms import AreasForm, InstrumentForm, areas_as_typed
from tiles.colour.lab import Illuminant
from tiles.colour.placing import Corners, read_corners, write_corners
from tiles.colour.queries import ShownZone
from tiles.colour.regions import AreaColour
from tiles.colour.wording import ColourWords, words_of_area
from tiles.models import ColourReading, Outcome, Photo
from tiles.search import address
from tiles.search.groups import NAMES_IN_ADDRESS

ORIGINAL_GONE = "The photo’s original is not there or cannot be read, so nothing can be measured on it."
MOST_LOOK_AT = 10**15


@dataclass(frozen=True, slots=True)
class Row:
    """A zone as the page shows it: its area, and what is read there."""

    shown: ShownZone
    area: str
    is_ticked: bool
    words: ColourWords | None
    problem: str

    @property
    def place(self) -> str:
        """The zone's rectangle as shares of its face, for laying it anew when the tile's outline is pulled."""
        face = queries.face_of(self.shown.outcome.form)
        return write_corners(queries.place_of(self.shown.outcome.zone.form_zone).within(face))

    @property
    def points(self) -> str:
        """The area as an SVG polygon on a picture of 1 by 1."""
        shares = self.area.split(",")
        return " ".join(",".join(pair) for pair in zip(shares[0::2], shares[1::2], strict=False))


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("tiles.view_colourreading", raise_exception=True)
@permission_required("tiles.change_outcome", raise_exception=True)
def measure(request: StudioRequest, sha256: str) -> HttpResponse:
    """Areas on a photo, read as they lie; sent, they are kept."""
    photo = get_object_or_404(Photo.objects, sha256=sha256)
    shown = queries.shown_on(photo)
    if request.method == "POST":
        return _keep(request, photo, shown)
    areas = queries.laid_areas(shown, photo, queries.look_of(photo))
    areas |= {pk: area for pk, area in queries.kept_areas(photo).items() if pk in areas}
    asked = _asked_for(request)
    ticked = [
        zone.outcome.pk
        for zone in shown
        if (zone.outcome.pk == asked if asked else zone.is_of_the_side_in_view)
    ]
    return _measure_page(request, photo, shown, _read(photo, areas_as_typed(areas), shown, ticked))


def _asked_for(request: StudioRequest) -> int:
    """The outcome that the page was opened for; 0 for none."""
    return key_of(request.GET.get("outcome", ""))


def _read(
    photo: Photo,
    typed: Mapping[int, str],
    shown: list[ShownZone],
    ticked: list[int],
    errors: Mapping[int, str] | None = None,
) -> list[Row]:
    """The rows of a page, each zone read where its area lies."""
    areas: dict[int, Corners] = {}
    problems = dict(errors or {})
    for pk in ticked:
        try:
            areas[pk] = read_corners(typed[pk])
        except ValueError as problem:
            problems.setdefault(pk, str(problem))
    try:
        found: Mapping[int, AreaColour | str] = services.read_zones(photo, areas) if areas else {}
    except OSError:
        found = dict.fromkeys(areas, ORIGINAL_GONE)
    return [_row(zone, typed, ticked, found.get(zone.outcome.pk), problems) for zone in shown]


def _row(
    zone: ShownZone,
    typed: Mapping[int, str],
    ticked: list[int],
    found: AreaColour | str | None,
    problems: Mapping[int, str],
) -> Row:
    pk = zone.outcome.pk
    words = words_of_area(found) if isinstance(found, AreaColour) else None
    problem = problems.get(pk, found if isinstance(found, str) else "")
    return Row(zone, typed[pk], pk in ticked, words, problem)


def _measure_page(
    request: StudioRequest,
    photo: Photo,
    shown: list[ShownZone],
    rows: list[Row],
    trouble: str = "",
    status: int = 200,
) -> HttpResponse:
    look = queries.look_of(photo)
    tiles = {zone.filing.tile_id: zone for zone in shown}
    page = {
        "photo": photo,
        "rows": rows,
        "trouble": trouble,
        "asked": _asked_for(request),
        "look": look,
        "outlines": [
            (zone, write_corners(queries.tile_corners(zone, photo, look, alone=len(tiles) == 1)))
            for zone in tiles.values()
        ],
        "next": way_on(request, ""),
    }
    return render(request, "tiles/colour/measure.html", page, status=status)


def _keep(request: StudioRequest, photo: Photo, shown: list[ShownZone]) -> HttpResponse:
    form = AreasForm(request.POST, [zone.outcome.pk for zone in shown])
    rows = _read(photo, form.typed, shown, form.chosen, form.errors)
    if not form.is_valid():
        return _measure_page(request, photo, shown, rows, form.problem, 422)
    try:
        found = services.read_zones(photo, form.areas)
    except OSError:
        return _measure_page(request, photo, shown, rows, ORIGINAL_GONE, 422)
    colours = {pk: (form.areas[pk], colour) for pk, colour in found.items() if isinstance(colour, AreaColour)}
    if len(colours) < len(found):
        return _measure_page(request, photo, shown, rows, status=422)
    keys, mark = services.keep_readings(photo, colours, by=request.user)
    zones = "1 zone" if len(keys) == 1 else f"{len(keys)} zones"
    say(request, f"Colour of {zones} measured.", undo_url=reverse("tiles:colour:undo", args=[keys, mark]))
    return redirect(way_on(request, shown[0].filing.tile.get_absolute_url()))


@require_safe
@login_required
@permission_required("tiles.view_colourreading", raise_exception=True)
def reading(request: StudioRequest, sha256: str) -> HttpResponse:
    """What is read within one area, as a piece of the page."""
    photo = get_object_or_404(Photo.objects, sha256=sha256)
    try:
        typed = request.GET.get(f"area-{request.GET.get('of', '')}", "")
        found = services.read_zones(photo, {0: read_corners(typed[:200])})[0]
    except ValueError as problem:
        found = str(problem)
    except OSError:
        found = ORIGINAL_GONE
    if isinstance(found, str):
        return render(request, "tiles/colour/_reading.html", {"problem": found}, status=422)
    return render(request, "tiles/colour/_reading.html", {"words": words_of_area(found)})


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def outcome(request: StudioRequest, pk: int) -> HttpResponse:
    """All that was measured of one outcome's colour, and the ways to measure it."""
    return _outcome_page(request, _outcome(pk), InstrumentForm())


def _outcome(pk: int) -> Outcome:
    return get_object_or_404(Outcome.objects.for_display(), pk=min(pk, MOST_LOOK_AT))


def _outcome_page(
    request: StudioRequest, shown: Outcome, form: InstrumentForm, status: int = 200
) -> HttpResponse:
    page: dict[str, Any] = {
        "outcome": shown,
        "readings": queries.readings_of(shown),
        "photos": queries.photos_showing(shown)[:12],
        "form": form,
    }
    return render(request, "tiles/colour/outcome.html", page, status=status)


@require_POST
@login_required
@permission_required("tiles.change_outcome", raise_exception=True)
def instrument(request: StudioRequest, pk: int) -> HttpResponse:
    """Keep what an instrument said."""
    shown = _outcome(pk)
    form = InstrumentForm(request.POST)
    if not form.is_valid():
        return _outcome_page(request, shown, form, 422)
    light = Illuminant(form.cleaned_data["illuminant"])
    mark = services.keep_instrument(shown, form.lab, light, by=request.user)
    undo_url = reverse("tiles:colour:undo", args=[[shown.pk], mark])
    say(request, f"The instrument’s colour of {shown.tile}, {shown.zone} is kept.", undo_url=undo_url)
    return redirect("tiles:colour:outcome", shown.pk)


@require_POST
@login_required
@permission_required("tiles.change_outcome", raise_exception=True)
def choose(request: StudioRequest, pk: int) -> HttpResponse:
    """Let another reading count."""
    chosen = get_object_or_404(
        ColourReading.objects.select_related("outcome__tile", "outcome__zone"), pk=min(pk, MOST_LOOK_AT)
    )
    mark = services.choose_reading(chosen, by=request.user)
    undo_url = reverse("tiles:colour:undo", args=[[chosen.outcome_id], mark])
    say(
        request,
        f"Another reading counts for {chosen.outcome.tile}, {chosen.outcome.zone}.",
        undo_url=undo_url,
    )
    return redirect("tiles:colour:outcome", chosen.outcome_id)


@require_POST
@login_required
@permission_required("tiles.change_outcome", raise_exception=True)
def undo(request: StudioRequest, keys: list[int], mark: int) -> HttpResponse:
    """Take back one step of measuring or choosing."""
    back = reverse("tiles:colour:outcome", args=[keys[0]])
    try:
        outcomes = services.undo_colours(keys, min(mark, MOST_LOOK_AT * 100), by=request.user)
    except CannotUndo as trouble:
        messages.warning(request, str(trouble))
        return redirect(way_on(request, back if Outcome.objects.filter(pk=keys[0]).exists() else "/"))
    messages.success(request, "Undone: the colours stand as they stood before.")
    return redirect(way_on(request, outcomes[0].get_absolute_url()))


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def colour_map(request: StudioRequest) -> HttpResponse:
    """The colours of the results that the address asks for; `around` draws a part of the plane larger."""
    pairs = address.read(request.GET.urlencode(), NAMES_IN_ADDRESS)
    shown = map_of(pairs, read_around(request.GET.get("around", "")))
    return render(request, "tiles/colour/map.html", {"shown": shown})
