"""The logbook: firings planned and fired, and one firing's page."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required, permission_required
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from firings.heatwork import cone_shape
from firings.http import StudioRequest, conflict, say, typed_in, way_on
from firings.keys import is_key
from firings.kilns.cautions import OPENING, WATCH
from firings.logbook import queries, services
from firings.logbook.cost import energy_cost
from firings.logbook.filters import FiringFilter
from firings.logbook.forms import (
    FiringForm,
    NoteForm,
    PlanForm,
    StartForm,
    WitnessConeFormSet,
    cones_say,
    cones_to_read,
)
from firings.logbook.states import is_through_the_fire, state_after
from firings.models import CannotUndo, Firing, FiringNote, StaleEdit
from firings.units import figure_words
from firings.vocabulary import FiringState

PAGE = 50


@require_safe
@login_required
@permission_required("firings.view_firing", raise_exception=True)
def firing_list(request: StudioRequest) -> HttpResponse:
    """The logbook, newest first."""
    found = FiringFilter(request.GET, Firing.objects.for_lists())
    page = Paginator(found.qs, PAGE).get_page(request.GET.get("page"))
    return render(request, "firings/logbook/list.html", {"filter": found, "page": page})


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("firings.add_firing", raise_exception=True)
def new(request: StudioRequest) -> HttpResponse:
    """Plan a firing; its number is given. The address may name its kiln, or the cone of the tiles that wait for it."""
    form = PlanForm(typed_in(request), initial=_begun(request))
    if request.method == "POST" and form.is_valid():
        firing = services.plan_firing(form.facts(), by=request.user)
        say(request, f"{firing.label} is planned.", undo_url=_bin_address(firing))
        return redirect(firing)
    page = {"form": form, "number": Firing.objects.next_number()}
    return render(request, "firings/logbook/new.html", page, status=422 if form.errors else 200)


def _begun(request: StudioRequest) -> dict[str, Any]:
    return queries.plan_like_the_last(request.GET.get("cone", ""), request.GET.get("kiln", ""))


@require_safe
@login_required
@permission_required("firings.add_firing", raise_exception=True)
def programmes(request: StudioRequest) -> HttpResponse:
    """The choice of programmes as it stands now, with what was chosen still chosen."""
    chosen = request.GET.get("programme", "")
    page = {"form": PlanForm(initial={"programme": chosen if is_key(chosen) else None})}
    return render(request, "firings/logbook/_programme.html", page)


def _bin_address(firing: Firing) -> str:
    return reverse("history:bin", args=["firings", "firing", firing.pk])


@require_safe
@login_required
@permission_required("firings.view_firing", raise_exception=True)
def firing_page(request: StudioRequest, number: int) -> HttpResponse:
    """All about one firing."""
    return _show(request, _firing(number), NoteForm(initial={"at": timezone.now()}))


def _firing(number: int) -> Firing:
    return get_object_or_404(Firing.objects.for_lists(), number=number)


def _show(request: StudioRequest, firing: Firing, note_form: NoteForm, status: int = 200) -> HttpResponse:
    page = {
        "firing": firing,
        "states": queries.states_with_marks(firing),
        "next_state": state_after(firing.state),
        "start_form": StartForm(initial={"started_at": queries.likely_start(firing)}),
        "is_fired": is_through_the_fire(firing.state),
        "caution": "" if is_through_the_fire(firing.state) else WATCH,
        "places": queries.cones_by_place(firing),
        "agreement": queries.agreement_of(firing),
        "notes": firing.notes.all(),
        "note_form": note_form,
        "energy": figure_words(firing.energy_kwh),
        "price": figure_words(firing.kiln.energy_price_per_kwh),
        "reckoned_cost": energy_cost(firing.energy_kwh, firing.kiln.energy_price_per_kwh),
    }
    return render(request, "firings/logbook/firing.html", page, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("firings.change_firing", raise_exception=True)
def edit(request: StudioRequest, number: int) -> HttpResponse:
    """Correct or complete what is known of a firing."""
    firing = _firing(number)
    before = firing.history.first()
    form = FiringForm(typed_in(request), instance=firing)
    if request.method == "POST" and form.is_valid():
        try:
            services.change_firing(firing.pk, form.stamp, form.facts(), by=request.user)
        except StaleEdit as stale:
            return conflict(request, form, stale.current, back=firing.get_absolute_url())
        say(request, f"{firing.label} is kept.", undo_url=_undo_address(firing, before))
        return redirect(firing)
    return render(
        request,
        "firings/logbook/edit.html",
        {"form": form, "firing": firing},
        status=422 if form.errors else 200,
    )


def _undo_address(firing: Firing, before: object) -> str:
    history_id = getattr(before, "history_id", None)
    return reverse("firings:logbook:undo", args=[firing.number, history_id]) if history_id else ""


@require_POST
@login_required
@permission_required("firings.change_firing", raise_exception=True)
def state(request: StudioRequest, number: int) -> HttpResponse:
    """Move a firing on to a later state."""
    firing = _firing(number)
    form = StartForm(request.POST)
    wanted = request.POST.get("state", "")
    if wanted not in FiringState.values() or not form.is_valid():
        words = form.errors.get("started_at", ["Choose one of the buttons on the firing’s page."])[0]
        messages.error(request, f"{firing.label} was left as it is. {words}")
        return redirect(firing)
    before = firing.history.first()
    started_at = form.cleaned_data["started_at"]
    services.move_to_state(firing.pk, FiringState(wanted), started_at=started_at, by=request.user)
    say(request, f"{firing.label} is {wanted}.", undo_url=_undo_address(firing, before))
    return redirect(way_on(request, firing.get_absolute_url()))


@require_POST
@login_required
@permission_required("firings.change_firing", raise_exception=True)
def undo(request: StudioRequest, number: int, history_id: int) -> HttpResponse:
    """Take back the last change to a firing."""
    firing = _firing(number)
    get_object_or_404(firing.history, history_id=history_id)
    try:
        services.take_back(firing.pk, history_id, by=request.user)
    except CannotUndo as trouble:
        messages.warning(request, str(trouble))
    else:
        say(request, f"{firing.label} is as it was before.")
    return redirect(firing)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("firings.change_firing", raise_exception=True)
def witness_cones(request: StudioRequest, number: int) -> HttpResponse:
    """Write down the witness cones and how far each has bent."""
    firing = _firing(number)
    rows = WitnessConeFormSet(
        typed_in(request),
        initial=cones_to_read(firing),
        form_kwargs={"kiln": firing.kiln},
        prefix="cones",
    )
    if request.method == "POST" and rows.is_valid():
        firing = services.read_witness_cones(firing.pk, rows.readings(), by=request.user)
        reached = (
            f" It reached {firing.reached_words} by {firing.reached_source_label}."
            if firing.reached_words
            else ""
        )
        say(request, f"Witness cones of {firing.label} are kept.{reached}")
        return redirect(firing)
    return render(
        request,
        "firings/logbook/cones.html",
        {"rows": rows, "sets": rows.sets(), "firing": firing, "shape": cone_shape, "caution": OPENING},
        status=422 if rows.is_bound else 200,
    )


@require_safe
@login_required
@permission_required("firings.view_firing", raise_exception=True)
def cones_said(request: StudioRequest, number: int) -> HttpResponse:
    """What the cones of one place say as they are being read: a fragment; nothing is kept."""
    _firing(number)
    typed = zip(request.GET.getlist("order"), request.GET.getlist("bend_deg"), strict=False)
    return render(request, "firings/logbook/_said.html", {"said": cones_say(typed)})


@require_POST
@login_required
@permission_required("firings.change_firing", raise_exception=True)
def note(request: StudioRequest, number: int) -> HttpResponse:
    """Add a note to a firing."""
    firing = _firing(number)
    form = NoteForm(request.POST)
    if not form.is_valid():
        return _show(request, firing, form, status=422)
    made = services.add_note(firing, form.cleaned_data["at"], form.cleaned_data["text"], by=request.user)
    say(
        request,
        "The note is written down.",
        undo_url=reverse("firings:logbook:strike_note", args=[number, made.pk]),
    )
    return redirect(firing)


@require_POST
@login_required
@permission_required("firings.change_firing", raise_exception=True)
def strike_note(request: StudioRequest, number: int, pk: int) -> HttpResponse:
    """Take a note away."""
    struck = get_object_or_404(FiringNote, pk=pk, firing__number=number)
    services.strike_note(struck, by=request.user)
    say(request, "The note is taken away.")
    return redirect(_firing(number))
