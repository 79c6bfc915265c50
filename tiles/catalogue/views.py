"""Pages of the catalogue."""

from collections.abc import Callable

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from firings.forms import KeptForm
from firings.http import (
    StudioRequest,
    conflict,
    next_form,
    quick_added,
    quick_form,
    say,
    say_kept,
    typed_in,
    wants_next,
    written_before,
)
from firings.models import Kept, StaleEdit
from tiles.catalogue import queries, services
from tiles.catalogue.forms import (
    ClayBodyAddForm,
    ClayBodyForm,
    GlazeAddForm,
    GlazeBatchForm,
    GlazeForm,
    TileFormAddForm,
    TileFormForm,
    TileFormNameForm,
    ZoneRows,
    zone_rows,
)
from tiles.catalogue.zones import three_bands
from tiles.laboratory import queries as laboratory
from tiles.models import ClayBody, Glaze, GlazeBatch, TileForm


@require_safe
@login_required
@permission_required("tiles.view_glaze", raise_exception=True)
def index(request: StudioRequest) -> HttpResponse:
    tag = request.GET.get("tag", "")
    page = {
        "glazes": queries.all_glazes(tag),
        "tag": tag,
        "tags": Glaze.objects.all_tags(),
        "bodies": queries.all_bodies(),
        "forms": queries.forms(),
    }
    return render(request, "tiles/catalogue/index.html", page)


@require_safe
@login_required
@permission_required("tiles.view_glaze", raise_exception=True)
def glaze(request: StudioRequest, pk: int) -> HttpResponse:
    shown = queries.counted(get_object_or_404(Glaze, pk=pk))
    low, high = queries.cones_fired(shown)
    page = {
        "glaze": shown,
        "tile_count": queries.tiles_with(shown),
        "batches": shown.batches.all(),
        "fired_low": low,
        "fired_high": high,
        "reports": laboratory.reports_of_glaze(shown),
        "note_report": f"{reverse('tiles:laboratory:new_leach_report')}?glaze={shown.pk}",
    }
    return render(request, "tiles/catalogue/glaze.html", page)


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.add_glaze", raise_exception=True)
def new_glaze(request: StudioRequest) -> HttpResponse:
    form = GlazeForm(typed_in(request), like=written_before(request, Glaze))
    return _kept(request, form, "A new glaze", back=reverse("tiles:catalogue:index"))


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.change_glaze", raise_exception=True)
def edit_glaze(request: StudioRequest, pk: int) -> HttpResponse:
    changed = get_object_or_404(Glaze, pk=pk)
    form = GlazeForm(typed_in(request), instance=changed)
    return _kept(request, form, str(changed), back=changed.get_absolute_url())


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.add_glaze", raise_exception=True)
def glaze_add(request: StudioRequest) -> HttpResponse:
    return _quick_add(request, GlazeAddForm(typed_in(request)), "glaze")


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.add_glazebatch", raise_exception=True)
def new_batch(request: StudioRequest, pk: int) -> HttpResponse:
    of_glaze = get_object_or_404(Glaze, pk=pk)
    like = written_before(request, GlazeBatch)
    form = GlazeBatchForm(typed_in(request), initial={"glaze": of_glaze}, like=like)
    return _kept(request, form, f"A new lot of {of_glaze}", back=of_glaze.get_absolute_url())


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.change_glazebatch", raise_exception=True)
def edit_batch(request: StudioRequest, pk: int) -> HttpResponse:
    batch = get_object_or_404(GlazeBatch.objects.select_related("glaze"), pk=pk)
    form = GlazeBatchForm(typed_in(request), instance=batch)
    return _kept(request, form, f"{batch.glaze}, lot {batch}", back=batch.glaze.get_absolute_url())


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.add_glazebatch", raise_exception=True)
def batch_add(request: StudioRequest) -> HttpResponse:
    form = GlazeBatchForm(typed_in(request), initial={"glaze": request.GET.get("glaze")})
    return _quick_add(request, form, "batch")


@require_safe
@login_required
@permission_required("tiles.view_claybody", raise_exception=True)
def body(request: StudioRequest, pk: int) -> HttpResponse:
    shown = queries.counted(get_object_or_404(ClayBody, pk=pk))
    found = laboratory.tests_of_body(shown)
    page = {
        "body": shown,
        "tile_count": queries.tiles_with(shown),
        "found": found,
        "plot": laboratory.plot_of(found),
        "weigh": f"{reverse('tiles:laboratory:new_absorption')}?body={shown.pk}",
    }
    return render(request, "tiles/catalogue/body.html", page)


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.add_claybody", raise_exception=True)
def new_body(request: StudioRequest) -> HttpResponse:
    form = ClayBodyForm(typed_in(request), like=written_before(request, ClayBody))
    return _kept(request, form, "A new clay body", back=reverse("tiles:catalogue:index"))


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.change_claybody", raise_exception=True)
def edit_body(request: StudioRequest, pk: int) -> HttpResponse:
    changed = get_object_or_404(ClayBody, pk=pk)
    form = ClayBodyForm(typed_in(request), instance=changed)
    return _kept(request, form, str(changed), back=changed.get_absolute_url())


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.add_claybody", raise_exception=True)
def body_add(request: StudioRequest) -> HttpResponse:
    return _quick_add(request, ClayBodyAddForm(typed_in(request)), "body")


@require_safe
@login_required
@permission_required("tiles.view_tileform", raise_exception=True)
def form(request: StudioRequest, pk: int) -> HttpResponse:
    return render(request, "tiles/catalogue/form.html", {"form": get_object_or_404(queries.forms(), pk=pk)})


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.add_tileform", raise_exception=True)
def new_form(request: StudioRequest) -> HttpResponse:
    copied = written_before(request, TileForm)
    shaped = TileFormForm(typed_in(request), like=copied)
    return _kept_form(request, shaped, zone_rows(typed_in(request), _first_zones(copied)))


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.change_tileform", raise_exception=True)
def edit_form(request: StudioRequest, pk: int) -> HttpResponse:
    changed = get_object_or_404(TileForm, pk=pk)
    if changed.is_in_use:
        words = TileFormNameForm(typed_in(request), instance=changed)
        return _kept(request, words, str(changed), back=changed.get_absolute_url())
    shaped = TileFormForm(typed_in(request), instance=changed)
    return _kept_form(request, shaped, zone_rows(typed_in(request), _first_zones(changed)))


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.add_tileform", raise_exception=True)
def form_add(request: StudioRequest) -> HttpResponse:
    """A form of three bands, texture and back, as large as is said; its zones are moved later."""
    small = TileFormAddForm(typed_in(request))
    if request.method == "POST" and small.is_valid():
        boxes = three_bands(small.cleaned_data["width_mm"], small.cleaned_data["height_mm"])
        kept = services.keep_form(small, boxes, by=request.user)
        return quick_added(request, kept, "form", page=kept.get_absolute_url())
    return quick_form(request, small, "A new tile form")


def _first_zones(copied: TileForm | None) -> list[dict[str, object]]:
    """The zones to start from: those of the form it is like, or three bands."""
    names = ("name", "kind", "face", "textured", "x_mm", "y_mm", "width_mm", "height_mm")
    boxes = list(copied.zones.all()) if copied else three_bands(70, 110)
    return [{name: getattr(box, name) for name in names} for box in boxes]


def _kept_form(request: StudioRequest, shaped: TileFormForm, rows: ZoneRows) -> HttpResponse:
    """A tile form with its zones: kept when both are right, shown again with what is wrong otherwise."""
    if request.method == "POST" and shaped.is_valid() and rows.is_valid():
        faces = shaped.cleaned_data
        if rows.fits(faces["width_mm"], faces["height_mm"]):
            return _answer(request, shaped, lambda: services.keep_form(shaped, rows.boxes(), by=request.user))
    title = shaped.initial.get("name", "A new tile form")
    page = {"form": shaped, "rows": rows, "title": title}
    status = 422 if request.method == "POST" else 200
    return render(request, "tiles/catalogue/edit_form.html", page, status=status)


def _kept(request: StudioRequest, form: KeptForm, title: str, *, back: str) -> HttpResponse:
    """A record's form: kept when it is right, shown again with what is wrong otherwise."""
    if request.method == "POST" and form.is_valid():
        return _answer(request, form, lambda: services.keep_record(form, by=request.user))
    page = {"form": form, "title": title, "back": back, "has_next": not form.instance.pk}
    return render(request, "tiles/catalogue/edit.html", page, status=422 if request.method == "POST" else 200)


def _answer(request: StudioRequest, form: KeptForm, keep: Callable[[], Kept]) -> HttpResponse:
    """Keep the record and go to its page, or show both versions where somebody else was faster."""
    before = form.instance.standing_version
    try:
        record = keep()
    except StaleEdit as stale:
        return conflict(request, form, stale.current)
    if before:
        if isinstance(record, TileForm) and not record.is_in_use:
            # Zones have no history: going back would leave the new ones on the form of before.
            say(request, f"{record} is kept.")
        else:
            say_kept(request, record, before, back=_page_of(record))
        return redirect(_page_of(record))
    if wants_next(request):
        say_kept(request, record, before, back=request.path)
        return next_form(request, record)
    say_kept(request, record, before, back=_before(record))
    return redirect(_page_of(record))


def _before(record: Kept) -> str:
    """Where one is again when a new record is undone."""
    return _page_of(record) if isinstance(record, GlazeBatch) else reverse("tiles:catalogue:index")


def _page_of(record: Kept) -> str:
    """A batch is read on its glaze's page."""
    return (record.glaze if isinstance(record, GlazeBatch) else record).get_absolute_url()  # type: ignore[attr-defined]


def _quick_add(request: StudioRequest, form: KeptForm, kind: str) -> HttpResponse:
    """A small form over another page, for the few facts that are needed to go on."""
    if request.method == "POST" and form.is_valid():
        record = services.keep_record(form, by=request.user)
        return quick_added(request, record, kind, page=_page_of(record))
    return quick_form(request, form, f"A new {form.instance._meta.verbose_name}")
