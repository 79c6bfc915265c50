"""Pages of the series planner: draw a plan up, see what it takes, make the tiles, print the sheet."""

import secrets
from dataclasses import replace

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from firings.http import StudioRequest, conflict, say
from firings.keys import key_of
from firings.models import StaleEdit
from tiles.catalogue.services import keep_record
from tiles.models import Series
from tiles.planner import http, queries, services
from tiles.planner.forms import APART, DEFAULT_COATS, PlanForm, from_address
from tiles.planner.reckoning import Unfinished
from tiles.plans.covering import ImpossiblePlan
from tiles.plans.sketch import NONE, Sketch, UnreadablePlan, in_order, without_makings
from tiles.prints.kinds import Asked
from tiles.prints.paper import print_pages
from tiles.prints.printers.queries import calibration_of, usual_printer

LAST_SEED = 999_999


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.add_series", raise_exception=True)
def new(request: StudioRequest) -> HttpResponse:
    """A plan begun empty, from the address, or the same as another series."""
    hand = queries.on_hand()
    if request.method == "POST":
        return _posted(request, PlanForm(request.POST, hand=hand, sketch=Sketch()), None)
    return _show(request, _begun(request, hand), None)


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.change_series", raise_exception=True)
def plan(request: StudioRequest, pk: int) -> HttpResponse:
    """A plan that was kept: gone on with, changed, made."""
    series, hand = get_object_or_404(Series, pk=pk), queries.on_hand()
    data = request.POST if request.method == "POST" else None
    form = PlanForm(data, hand=hand, sketch=_kept(request, series), instance=series)
    return _show(request, form, series) if data is None else _posted(request, form, series)


@require_POST
@login_required
@permission_required("tiles.add_series", raise_exception=True)
def totals(request: StudioRequest, pk: int | None = None) -> HttpResponse:
    """What the plan comes to as it is typed; nothing is kept."""
    series = get_object_or_404(Series, pk=pk) if pk else None
    form = PlanForm(request.POST, hand=queries.on_hand(), sketch=Sketch(), instance=series)
    form.is_valid()
    page = {"outlook": http.outlook(form, series), "form": form, "series": series}
    return render(request, "tiles/planner/_outlook.html", page)


@require_POST
@login_required
@permission_required("tiles.add_tile", raise_exception=True)
def make(request: StudioRequest, pk: int) -> HttpResponse:
    """Make the tiles of a plan as it was kept."""
    series = get_object_or_404(Series, pk=pk)
    try:
        tiles = services.make_tiles(series, _stamp(request, series), queries.on_hand(), by=request.user)
    except services.NothingToMake:
        say(request, "All tiles of this plan exist already; none was made.")
        return redirect("tiles:planner:plan", pk)
    except (Unfinished, ImpossiblePlan) as trouble:
        say(request, f"The plan is kept, but no tile is made. {trouble}")
        return redirect("tiles:planner:plan", pk)
    except StaleEdit:
        say(request, "Somebody changed this plan meanwhile. Look at it again, then make the tiles.")
        return redirect("tiles:planner:plan", pk)
    count = f"{len(tiles)} tiles" if len(tiles) > 1 else "1 tile"
    undo_url = reverse("tiles:planner:unmake", args=[pk])
    say(
        request,
        f"{count} made, numbered {tiles[0]} to {tiles[-1]} in the order to make them.",
        undo_url=undo_url,
    )
    return redirect(series)


@require_POST
@login_required
@permission_required("tiles.change_tile", raise_exception=True)
def unmake(request: StudioRequest, pk: int) -> HttpResponse:
    """Undo the last making."""
    tiles = services.unmake_tiles(get_object_or_404(Series, pk=pk), by=request.user)
    say(request, f"{len(tiles)} tile{'' if len(tiles) == 1 else 's'} put in the bin; the plan is kept.")
    return redirect("tiles:planner:plan", pk)


@require_safe
@login_required
@permission_required("tiles.view_series", raise_exception=True)
def sheet(request: StudioRequest, pk: int) -> HttpResponse:
    """The clip-board sheet: the series' tiles in the order to make them."""
    series = get_object_or_404(Series, pk=pk)
    asked = Asked((str(pk),), {}, request.preferences, person=request.user)
    printed = print_pages(
        queries.CLIPBOARD_SHEET.pages(asked),
        title=f"Clip-board sheet: {series}",
        author=request.preferences.studio_name,
        calibration=calibration_of(usual_printer(request.user)),
    )
    answer = HttpResponse(printed.pdf, content_type="application/pdf")
    name = slugify(series.name) or f"series-{pk}"
    answer["Content-Disposition"] = f'inline; filename="clip-board-{name}.pdf"'
    return answer


def _begun(request: StudioRequest, hand: queries.OnHand) -> PlanForm:
    """A new plan: what the address asks for, over what another series was planned from."""
    start = _first_plan(hand)
    initial = {}
    if asked := key_of(request.GET.get("series", "")):
        like = get_object_or_404(Series, pk=asked)
        start = replace(_kept(request, like), seed=start.seed)
        initial = {"question": like.question, "name": _name_after(like)}
    sketch = from_address(request.GET, hand, start)
    return PlanForm(None, hand=hand, sketch=sketch, initial=initial)


def _first_plan(hand: queries.OnHand) -> Sketch:
    """Coats one to three, nothing under or over, and the form and body where there is only one."""
    levels = {"coats": DEFAULT_COATS.split(", "), "under": [NONE], "over": [NONE]}
    for factor in ("form", "body"):
        if len(hand.names[factor]) == 1:
            levels[factor] = list(hand.names[factor])
    return Sketch(levels=in_order(levels), seed=secrets.randbelow(LAST_SEED))


def _name_after(like: Series) -> str:
    taken = set(Series.objects.values_list("name", flat=True))
    return next(name for count in range(2, 1000) if (name := f"{like.name[:70]} {count}") not in taken)


def _kept(request: StudioRequest, series: Series) -> Sketch:
    """The plan of a series, or one that begins from its tiles where it has none."""
    try:
        plan = without_makings(series.plan)
        return Sketch.from_json(plan) if plan else queries.levels_seen(series)
    except UnreadablePlan as trouble:
        say(request, f"{trouble} It is left as it is until you keep another.")
        return queries.levels_seen(series)


def _show(
    request: StudioRequest, form: PlanForm, series: Series | None, *, keeping: bool = False
) -> HttpResponse:
    """The plan; `keeping` says whether it was to be kept, which a plan that shows again was not."""
    page = "tiles/planner/_plan.html" if request.htmx else "tiles/planner/plan.html"
    shown = http.page_of(form, request, series) | {"keeping": keeping}
    return render(request, page, shown, status=422 if form.is_bound else 200)


def _posted(request: StudioRequest, form: PlanForm, series: Series | None) -> HttpResponse:
    asked = request.POST.get("do", "save")
    is_right = form.is_valid()
    if asked in ("show", "shuffle"):
        return _show(request, _again(request, form, series, asked), series)
    if not is_right:
        return _show(request, form, series, keeping=True)
    try:
        kept = keep_record(form, by=request.user)
    except StaleEdit as stale:
        return conflict(
            request, form, stale.current, back=reverse("tiles:planner:plan", args=[stale.current.pk])
        )
    if asked == "make":
        return make(request, kept.pk)
    say(request, f"The plan of {kept} is kept. No tile is made yet.")
    return redirect("tiles:planner:plan", kept.pk)


def _again(request: StudioRequest, form: PlanForm, series: Series | None, asked: str) -> PlanForm:
    """The page half filled, one button press further: a level or rule more, or another order."""
    if not form.plan_reads:
        form.pass_over(APART)
        return form
    sketch = replace(form.sketch, seed=secrets.randbelow(LAST_SEED)) if asked == "shuffle" else form.sketch
    words = {name: request.POST.get(name, "") for name in ("name", "question")}
    again = PlanForm(None, hand=form.hand, sketch=sketch, instance=series, initial=words)
    if series is not None:
        again.fields["stamp"].initial = request.POST.get("stamp", series.stamp)
    return again


def _stamp(request: StudioRequest, series: Series) -> int:
    """The stamp the plan was seen with; where it was saved by this very press, the one it has now."""
    typed = request.POST.get("stamp", "")
    is_own = request.POST.get("do") == "make" or not typed.isdecimal()
    return series.stamp if is_own else int(typed[:9])
