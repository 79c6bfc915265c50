"""The unload page: a firing's tiles as touch rows, judged one after the other."""

import json
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required, permission_required
from django.http import Http404, HttpResponse, JsonResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from firings.http import StudioRequest, say, way_on
from firings.kilns.cautions import UNLOADING
from firings.logbook.forms import StartForm
from firings.logbook.queries import likely_start
from firings.logbook.states import is_through_the_fire
from firings.models import CannotUndo, Firing
from firings.moments import mark_of
from tiles import numbers
from tiles.models import Outcome
from tiles.unloading import queries, services
from tiles.unloading.forms import (
    COPIED,
    TileJudging,
    as_fields,
    judging_of,
    judging_shown,
    judging_typed,
    prefix_of,
    with_zone_above,
)
from tiles.unloading.judgement import Judgement
from tiles.unloading.queries import Row, Unloading
from tiles.unloading.unopened.queries import blank_row, tiles_of


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def firing(request: StudioRequest, firing_number: int) -> HttpResponse:
    """All tiles of a firing; `at` opens one, `number` goes to one that was typed."""
    fired = _firing(firing_number)
    unloading = queries.unloading_of(fired)
    if typed := request.GET.get("number", "").strip():
        return _go_to(request, fired, unloading, typed)
    row = _row_at(unloading, request.GET.get("at", ""))
    opened = _opened(request, row, _fresh(row)) if row else {}
    return _page(request, fired, unloading, opened)


def _firing(number: int) -> Firing:
    return get_object_or_404(Firing.objects.select_related("kiln"), number=number)


def _row_at(unloading: Unloading, label: str) -> Row | None:
    try:
        return unloading.row_of(numbers.read(label))
    except ValueError:
        return None


def _go_to(request: StudioRequest, fired: Firing, unloading: Unloading, typed: str) -> HttpResponse:
    try:
        number = numbers.read(typed)
    except ValueError as wrong:
        trouble = str(wrong)
    else:
        if row := unloading.row_of(number):
            return redirect(_address(fired, row))
        trouble = f"Tile {numbers.write(number)} is not in {fired.label}.{_where_it_is(number)}"
    return _page(request, fired, unloading, {"trouble": trouble, "typed": typed}, 422)


def _where_it_is(number: int) -> str:
    """In which firing a tile is that was looked for in the wrong one."""
    last = queries.last_firing_of(number)
    return f" It is in {last.label}." if last else ""


def _address(fired: Firing, row: Row | None) -> str:
    page = reverse("tiles:unloading:firing", args=[fired.number])
    return f"{page}?at={row.label}#tile-{row.placement.tile.number}" if row else page


def _fresh(row: Row) -> TileJudging:
    return judging_of(row.outcomes, {outcome.pk: queries.start_of(outcome) for outcome in row.outcomes})


def _page(
    request: StudioRequest, fired: Firing, unloading: Unloading, more: dict[str, Any], status: int = 200
) -> HttpResponse:
    page = {
        "firing": fired,
        "unloading": unloading,
        "next_row": unloading.next_after(None),
        "is_fired": is_through_the_fire(fired.state),
        "unopened": _unopened_address(request, fired),
        "start_form": StartForm(initial={"started_at": likely_start(fired)}),
        "caution": UNLOADING,
        **more,
    }
    return render(request, "tiles/unloading/firing.html", page, status=status)


def _unopened_address(request: StudioRequest, fired: Firing) -> str:
    """Where the phone gets what opens its tiles without a network; nothing where nobody may judge."""
    may_judge = is_through_the_fire(fired.state) and request.user.has_perm("tiles.change_outcome")
    return reverse("tiles:unloading:unopened", args=[fired.number]) if may_judge else ""


def _opened(request: StudioRequest, row: Row, judging: TileJudging, trouble: str = "") -> dict[str, Any]:
    """What an opened tile shows."""
    last, seen = queries.same_as_last(row, by=request.user)
    return {
        "open_row": row,
        "judging": judging,
        "open_trouble": trouble,
        "last_label": last,
        "last_values": json.dumps(as_fields(row.outcomes, seen)),
    }


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def tile(request: StudioRequest, firing_number: int, tile: str) -> HttpResponse:
    """One tile opened in its row, a piece of the unload page."""
    fired = _firing(firing_number)
    row = _row_or_404(queries.unloading_of(fired, _number_or_404(tile)), tile)
    if not request.htmx:
        return redirect(_address(fired, row))
    page = {
        "firing": fired,
        "is_fired": is_through_the_fire(fired.state),
        **_opened(request, row, _fresh(row)),
    }
    return render(request, "tiles/unloading/_tile.html", page)


def _number_or_404(label: str) -> int:
    try:
        return numbers.read(label)
    except ValueError as trouble:
        raise Http404(str(trouble)) from None


def _row_or_404(unloading: Unloading, label: str) -> Row:
    row = unloading.row_of(_number_or_404(label))
    if row is None:
        raise Http404(f"Tile {label} is not in this firing.")
    return row


@require_safe
@login_required
@permission_required("tiles.change_outcome", raise_exception=True)
def unopened(request: StudioRequest, firing_number: int) -> HttpResponse:
    """What the page needs to open any of its tiles without a network: a blank one, and what stands on each."""
    fired = _firing(firing_number)
    row = blank_row(fired)
    page = {
        "firing": fired,
        "is_fired": is_through_the_fire(fired.state),
        "open_row": row,
        "judging": judging_of(row.outcomes, {0: Judgement()}),
        "last_label": row.label,
    }
    blank = render_to_string("tiles/unloading/_blank.html", page, request)
    return JsonResponse({"blank": blank, "copied": COPIED, **tiles_of(fired, request.user)})


@require_POST
@login_required
@permission_required("tiles.change_outcome", raise_exception=True)
def judge_tile(request: StudioRequest, firing_number: int, tile: str) -> HttpResponse:
    """Judge all zones of a tile at once and go on to the next; or, without scripts, fill a zone from another."""
    fired = _firing(firing_number)
    unloading = queries.unloading_of(fired)
    row = _row_or_404(unloading, tile)
    if filled := _filled(request, row):
        return _answer_open(request, fired, unloading, _opened(request, row, filled))
    judging = judging_typed(row.outcomes, request.POST)
    if not judging.is_valid():
        return _answer_open(request, fired, unloading, _opened(request, row, judging), 422)
    try:
        moment = services.judge_zones(judging.judgements(), judging.seen(), by=request.user)
    except services.NotFired as trouble:
        return _answer_open(request, fired, unloading, _opened(request, row, judging, str(trouble)), 422)
    except services.JudgedMeanwhile as late:
        return _both_versions(request, fired, unloading, row, late.outcomes)
    undo = reverse("tiles:unloading:undo", args=[fired.number, row.label, mark_of(moment)])
    say(request, f"Tile {row.label} judged.", undo_url=undo if moment else "")
    return _go_on(request, fired, row)


def _filled(request: StudioRequest, row: Row) -> TileJudging | None:
    """The form filled from another zone or tile, where such a button was pressed."""
    if position := request.POST.get("above", ""):
        return judging_shown(row.outcomes, with_zone_above(row.outcomes, request.POST, position))
    if request.POST.get("last"):
        _, seen = queries.same_as_last(row, by=request.user)
        typed = request.POST.copy()
        for name, value in as_fields(row.outcomes, seen).items():
            typed[name] = value
        return judging_shown(row.outcomes, typed)
    return None


def _answer_open(
    request: StudioRequest, fired: Firing, unloading: Unloading, opened: dict[str, Any], status: int = 200
) -> HttpResponse:
    """The tile stays open: its piece for htmx, else the whole page with it."""
    if not request.htmx:
        return _page(request, fired, unloading, opened, status)
    page = {"firing": fired, "is_fired": is_through_the_fire(fired.state), **opened}
    return render(request, "tiles/unloading/_tile.html", page, status=status)


def _both_versions(
    request: StudioRequest, fired: Firing, unloading: Unloading, row: Row, late: list[Outcome]
) -> HttpResponse:
    """Someone judged it meanwhile: what was tapped stays, theirs stands beside it, saving again replaces it."""
    opened = _opened(request, row, judging_shown(row.outcomes, _knowing(request.POST, late)))
    opened["late"] = [
        {"zone": outcome.zone, "by": outcome.judged_by, "words": queries.seen_words(outcome)}
        for outcome in late
    ]
    return _answer_open(request, fired, unloading, opened, 422)


def _knowing(data: QueryDict, late: list[Outcome]) -> QueryDict:
    """What was sent, now that the person sees what others judged meanwhile."""
    typed = data.copy()
    for outcome in late:
        typed[f"{prefix_of(outcome)}-seen"] = str(mark_of(outcome.judged_at))
    return typed


def _go_on(request: StudioRequest, fired: Firing, row: Row) -> HttpResponse:
    unloading = queries.unloading_of(fired)
    following = unloading.next_after(row.placement.tile.number)
    # What was judged without a network comes in by itself, while another tile is in hand: nothing opens then.
    is_in_hand = "later" not in request.POST
    if not request.htmx:
        return redirect(_address(fired, following))
    page: dict[str, Any] = {
        "firing": fired,
        "unloading": unloading,
        "is_fired": True,
        "row": _row_or_404(unloading, row.label),
        "next_row": following,
        "opens_next": following and is_in_hand,
    }
    if following and is_in_hand:
        page |= _opened(request, following, _fresh(following))
    answer = render(request, "tiles/unloading/_answer.html", page)
    if is_in_hand:
        answer["HX-Replace-Url"] = _address(fired, following)
    return answer


@require_POST
@login_required
@permission_required("tiles.change_outcome", raise_exception=True)
def undo(request: StudioRequest, firing_number: int, tile: str, mark: int) -> HttpResponse:
    """Take back what was judged on a tile at one moment."""
    fired = _firing(firing_number)
    row = _row_or_404(queries.unloading_of(fired, _number_or_404(tile)), tile)
    try:
        services.undo_judgement(row.outcomes, mark, by=request.user)
    except CannotUndo as trouble:
        messages.warning(request, str(trouble))
    else:
        say(request, f"Tile {row.label} is as it was before.")
    return redirect(_address(fired, row))


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("tiles.change_outcome", raise_exception=True)
def judge_zone(request: StudioRequest, firing_number: int, tile: str, zone: int) -> HttpResponse:
    """Judge one zone by itself, from a tile's page."""
    fired = _firing(firing_number)
    found = queries.outcomes().of_zone(firing_number, _number_or_404(tile), zone)
    outcome: Outcome = get_object_or_404(found)
    if request.method != "POST":
        return _zone_page(request, fired, outcome, _fresh_zone(outcome))
    judging = judging_typed([outcome], request.POST)
    if not judging.is_valid():
        return _zone_page(request, fired, outcome, judging, status=422)
    try:
        moment = services.judge_zones(judging.judgements(), judging.seen(), by=request.user)
    except services.NotFired as trouble:
        return _zone_page(request, fired, outcome, judging, str(trouble), 422)
    except services.JudgedMeanwhile as late:
        shown = judging_shown([outcome], _knowing(request.POST, late.outcomes))
        return _zone_page(request, fired, outcome, shown, _late_words(late.outcomes[0]), 422)
    undo = reverse("tiles:unloading:undo", args=[fired.number, outcome.tile.label, mark_of(moment)])
    say(request, f"Tile {outcome.tile}, {outcome.zone} judged.", undo_url=undo if moment else "")
    return redirect(way_on(request, outcome.get_absolute_url()))


def _fresh_zone(outcome: Outcome) -> TileJudging:
    return judging_of([outcome], {outcome.pk: queries.start_of(outcome)})


def _late_words(outcome: Outcome) -> str:
    words = queries.seen_words(outcome)
    return f"{outcome.judged_by or 'Someone'} judged it meanwhile: {words}. Keep it again to put yours in its place."


def _zone_page(
    request: StudioRequest,
    fired: Firing,
    outcome: Outcome,
    judging: TileJudging,
    trouble: str = "",
    status: int = 200,
) -> HttpResponse:
    page = {
        "firing": fired,
        "outcome": outcome,
        "judging": judging,
        "trouble": trouble,
        "next": way_on(request, ""),
    }
    return render(request, "tiles/unloading/zone.html", page, status=status)
