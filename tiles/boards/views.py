"""Boards: their list, one board, its slots, and laying it out by rule."""

from collections.abc import Callable
from datetime import datetime
from functools import partial
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required, permission_required
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from firings.http import StudioRequest, answer_kept, say, say_kept, typed_in, way_on
from firings.keys import key_of
from firings.models import CannotUndo, ChangedMeanwhile, StaleEdit
from firings.moments import mark_of
from tiles.boards import queries, services
from tiles.boards.forms import BoardForm, HangForm, MoveForm, RuleForm, WantForm
from tiles.boards.outlook import kept_of
from tiles.catalogue.services import keep_record
from tiles.models import Board
from tiles.public.queries import public_address_of_board

MEANWHILE = "Somebody changed this slot meanwhile. It is shown as it is now; nothing of yours was done yet."


@require_safe
@login_required
@permission_required("tiles.view_board", raise_exception=True)
def boards(request: StudioRequest) -> HttpResponse:
    """All boards of the studio."""
    return render(request, "tiles/boards/list.html", {"boards": queries.boards()})


@require_safe
@login_required
@permission_required("tiles.view_board", raise_exception=True)
def board(request: StudioRequest, pk: int) -> HttpResponse:
    """One board as it hangs."""
    found = get_object_or_404(Board, pk=pk)
    shown = {
        "board": found,
        "page": queries.board_page(found, request.preferences),
        "public": public_address_of_board(found),
    }
    return render(request, "tiles/boards/board.html", shown)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("tiles.add_board", raise_exception=True)
def new(request: StudioRequest) -> HttpResponse:
    """A new board, empty."""
    form = BoardForm(typed_in(request))
    if request.method == "POST" and form.is_valid():
        kept = keep_record(form, by=request.user)
        say_kept(request, kept, 0, words=f"“{kept}” is kept.", back=reverse("tiles:boards:list"))
        return redirect("tiles:boards:board", kept.pk)
    return _form_page(request, form, "New board", reverse("tiles:boards:list"))


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("tiles.change_board", raise_exception=True)
def edit(request: StudioRequest, pk: int) -> HttpResponse:
    """Another name or size."""
    found = get_object_or_404(Board, pk=pk)
    page = found.get_absolute_url()
    form = BoardForm(typed_in(request), instance=found)
    if request.method == "POST" and form.is_valid():
        keep = partial(keep_record, form, by=request.user)
        return answer_kept(request, form, keep, words="“{}” is kept.", stands=page)
    return _form_page(request, form, "Change the board", page)


def _form_page(request: StudioRequest, form: BoardForm, title: str, back: str) -> HttpResponse:
    shown = {"form": form, "title": title, "back": back, "board": form.instance}
    return render(request, "tiles/boards/edit.html", shown, status=422 if form.is_bound else 200)


@require_safe
@login_required
@permission_required("tiles.change_board", raise_exception=True)
def slot(request: StudioRequest, pk: int, row: int, column: int) -> HttpResponse:
    """A slot: hang a tile, say what is wanted, move what is there."""
    return _slot_page(request, get_object_or_404(Board, pk=pk), (row, column))


@require_POST
@login_required
@permission_required("tiles.change_board", raise_exception=True)
def hang(request: StudioRequest, pk: int, row: int, column: int) -> HttpResponse:
    """Hang the typed tiles."""
    found, at, form = get_object_or_404(Board, pk=pk), (row, column), HangForm(request.POST)
    if not form.is_valid():
        return _slot_page(request, found, at, hang=form)
    tiles = form.cleaned_data["numbers"]
    said = f"{tiles[0].label} hangs" if len(tiles) == 1 else f"{len(tiles)} tiles hang"

    def done(seen: str) -> datetime:
        return services.hang(found, at, tiles, seen, by=request.user)

    return _do(request, found, at, done, f"{said} on “{found}”.", hang=form)


@require_POST
@login_required
@permission_required("tiles.change_board", raise_exception=True)
def want(request: StudioRequest, pk: int, row: int, column: int) -> HttpResponse:
    """Note what should hang in a slot; empty words clear it."""
    found, at, form = get_object_or_404(Board, pk=pk), (row, column), WantForm(request.POST)
    if not form.is_valid():
        return _slot_page(request, found, at, want=form)
    words = form.cleaned_data["wanted"]
    said = f"Wanted on “{found}”: {words}." if words else f"Row {row}, column {column} of “{found}” is free."

    def done(seen: str) -> datetime:
        return services.want(found, at, words, seen, by=request.user)

    return _do(request, found, at, done, said, want=form)


@require_POST
@login_required
@permission_required("tiles.change_board", raise_exception=True)
def move(request: StudioRequest, pk: int, row: int, column: int) -> HttpResponse:
    """Move what is in a slot, or change it with what is there."""
    found, at = get_object_or_404(Board, pk=pk), (row, column)
    form = MoveForm(request.POST, board=found)
    if not form.is_valid():
        return _slot_page(request, found, at, move=form)
    said = f"Moved to row {form.to[0]}, column {form.to[1]}."

    def done(seen: str) -> datetime:
        return services.move(found, at, form.to, seen, by=request.user)

    return _do(request, found, at, done, said, move=form)


def _do(
    request: StudioRequest,
    board: Board,
    at: tuple[int, int],
    done: Callable[[str], datetime],
    said: str,
    **form: Any,
) -> HttpResponse:
    """Do one thing to a slot, and go back to the board; where somebody was quicker, the slot is shown as it is now."""
    _within(board, at)
    try:
        moment = done(request.POST.get("seen", ""))
    except ChangedMeanwhile:
        return _slot_page(request, board, at, trouble=MEANWHILE, status=409, **form)
    except services.NoRoom as trouble:
        return _slot_page(request, board, at, trouble=str(trouble), **form)
    page = board.get_absolute_url()
    say(request, said, undo_url=f"{reverse('tiles:boards:undo', args=[mark_of(moment)])}?next={page}")
    return redirect(f"{page}#slot-{at[0]}-{at[1]}")


def _within(board: Board, at: tuple[int, int]) -> None:
    if not (1 <= at[0] <= board.rows and 1 <= at[1] <= board.columns):
        raise Http404("The board has no such slot.")


def _slot_page(
    request: StudioRequest,
    board: Board,
    at: tuple[int, int],
    *,
    trouble: str = "",
    status: int = 0,
    **form: Any,
) -> HttpResponse:
    _within(board, at)
    place = queries.place_of(board, at, request.preferences)
    shown = {
        "board": board,
        "place": place,
        "hang": form.get("hang") or HangForm(),
        "want": form.get("want") or WantForm(initial={"wanted": place.wanted}),
        "move": form.get("move") or MoveForm(board=board),
        "trouble": trouble,
    }
    is_bound = bool(form or trouble)
    return render(request, "tiles/boards/slot.html", shown, status=status or (422 if is_bound else 200))


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("tiles.change_board", raise_exception=True)
def lay_out(request: StudioRequest, pk: int) -> HttpResponse:
    """Lay a board out by rule: what it would come to, and on POST doing it."""
    found = get_object_or_404(Board, pk=pk)
    said = request.POST if request.method == "POST" else request.GET
    start = {"across": "cone", "down": "body"}
    form = RuleForm(said if said else None, person=request.user, initial=start)
    if not form.is_bound or not form.is_valid():
        return _rule_page(request, found, form, None, status=422 if request.method == "POST" else 200)
    across, down = form.axes
    take = form.cleaned_data["take"]
    outlook = queries.outlook_on(found, form.source(), across, down, take=take)
    if request.method != "POST" or not outlook.hung_count:
        return _rule_page(request, found, form, outlook)
    glaze = form.source().glaze
    rule = kept_of(outlook.laid, across, down, glaze.pk if glaze else None)
    stamp = key_of(request.POST.get("stamp", ""))
    try:
        moment = services.lay_out(found, outlook.laid, rule, stamp, by=request.user)
    except (StaleEdit, ChangedMeanwhile):
        messages.error(
            request, "Somebody changed this board meanwhile. Look at it once more, then lay it out."
        )
        return _rule_page(request, Board.objects.get(pk=pk), form, outlook, status=409)
    page = found.get_absolute_url()
    undo_url = f"{reverse('tiles:boards:undo', args=[mark_of(moment)])}?next={page}"
    say(request, f"“{found}” is laid out: {outlook.hung_count} tiles hang.", undo_url=undo_url)
    return redirect(page)


def _rule_page(
    request: StudioRequest, board: Board, form: RuleForm, outlook: Any, *, status: int = 200
) -> HttpResponse:
    shown = {"board": board, "form": form, "outlook": outlook}
    template = "tiles/boards/_outlook.html" if request.htmx else "tiles/boards/lay_out.html"
    return render(request, template, shown, status=status)


@require_POST
@login_required
@permission_required("tiles.change_board", raise_exception=True)
def undo(request: StudioRequest, mark: int) -> HttpResponse:
    """Take one change of boards or places back."""
    try:
        undone = services.undo(mark, by=request.user)
    except (CannotUndo, ChangedMeanwhile, OverflowError) as trouble:
        messages.error(request, str(trouble) or MEANWHILE)
    else:
        left = f" {undone.left} changed again since and stay." if undone.left else ""
        say(request, f"Undone.{left}")
    return redirect(way_on(request, reverse("tiles:boards:list")))
