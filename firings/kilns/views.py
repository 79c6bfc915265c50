"""Kilns: what the studio has, and what is known of each."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from firings.http import (
    StudioRequest,
    answer_kept,
    next_form,
    quick_added,
    quick_form,
    say_kept,
    typed_in,
    wants_next,
    written_before,
)
from firings.kilns import services
from firings.kilns.cautions import cautions_for
from firings.kilns.drawing import elevation
from firings.kilns.drift import CHECK
from firings.kilns.forms import KilnAddForm, KilnForm, ShelfRows, shelf_rows
from firings.kilns.plots import bars, scatter
from firings.kilns.queries import kilns_for_list, knowledge_of, last_firings
from firings.models import Kiln
from firings.units import figure_words


@require_safe
@login_required
@permission_required("firings.view_kiln", raise_exception=True)
def kiln_list(request: StudioRequest) -> HttpResponse:
    return render(request, "firings/kilns/list.html", {"kilns": kilns_for_list()})


@require_safe
@login_required
@permission_required("firings.view_kiln", raise_exception=True)
def kiln_page(request: StudioRequest, pk: int) -> HttpResponse:
    """One kiln: its facts, its shelves to scale, what to heed, its last firings."""
    kiln = get_object_or_404(Kiln.objects.all(), pk=pk)
    known = knowledge_of(kiln)
    drawing = elevation([services.shelf_facts(shelf) for shelf in kiln.shelves.all()])
    leans = {lean.position: lean for lean in known.evenness.shelves} if known.evenness else {}
    page = {
        "kiln": kiln,
        "known": known,
        "bars": bars(known.months),
        "drifts": [(found, scatter(found.readings)) for found in known.drifts],
        "check": CHECK,
        "power": figure_words(kiln.power_kw),
        "price": figure_words(kiln.energy_price_per_kwh),
        "drawing": drawing,
        "section": [(shelf, leans.get(shelf.position)) for shelf in drawing.shelves],
        "cautions": cautions_for(kiln.kind),
        "firings": last_firings(kiln),
    }
    return render(request, "firings/kilns/kiln.html", page)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("firings.add_kiln", raise_exception=True)
def new(request: StudioRequest) -> HttpResponse:
    """Enter a kiln."""
    form = KilnForm(typed_in(request), like=written_before(request, Kiln))
    rows = shelf_rows(typed_in(request), Kiln())
    if request.method == "POST" and all((form.is_valid(), rows.is_valid())):
        kiln = services.add_kiln(form.facts(), rows.facts(), by=request.user)
        words = f"Kiln {kiln} is kept."
        if wants_next(request):
            say_kept(request, kiln, 0, words=words, back=request.path)
            return next_form(request, kiln)
        say_kept(request, kiln, 0, words=words, back=reverse("firings:kilns:list"))
        return redirect(kiln)
    return _form_page(request, form, rows, Kiln())


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("firings.add_kiln", raise_exception=True)
def add(request: StudioRequest) -> HttpResponse:
    """A kiln entered from the page of a firing."""
    form = KilnAddForm(typed_in(request))
    if request.method == "POST" and form.is_valid():
        kiln = services.add_kiln(form.facts(), form.shelf_facts(), by=request.user)
        return quick_added(request, kiln, "kiln", page=kiln.get_absolute_url())
    return quick_form(request, form, "A new kiln")


def _form_page(request: StudioRequest, form: KilnForm, rows: ShelfRows, kiln: Kiln) -> HttpResponse:
    page = {"form": form, "rows": rows, "kiln": kiln}
    return render(request, "firings/kilns/edit.html", page, status=422 if form.is_bound else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("firings.change_kiln", raise_exception=True)
def edit(request: StudioRequest, pk: int) -> HttpResponse:
    """Correct or complete what is known of a kiln."""
    kiln = get_object_or_404(Kiln.objects.all(), pk=pk)
    form, rows = KilnForm(typed_in(request), instance=kiln), shelf_rows(typed_in(request), kiln)
    if request.method == "POST" and all((form.is_valid(), rows.is_valid())):

        def keep() -> Kiln:
            return services.change_kiln(kiln.pk, form.stamp, form.facts(), rows.facts(), by=request.user)

        try:
            return answer_kept(request, form, keep, words="Kiln {} is kept.", stands=kiln.get_absolute_url())
        except services.ShelfInUse as trouble:
            form.add_error(None, str(trouble))
    return _form_page(request, form, rows, kiln)
