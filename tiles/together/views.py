"""Many results at once: look over, change, take back, print."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.contrib.auth.decorators import login_required, permission_required
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from firings.http import StudioRequest, say, way_on
from firings.models import CannotUndo
from firings.moments import mark_of
from firings.words import counted
from tiles.models import Outcome
from tiles.prints.kinds import KINDS
from tiles.prints.tray.http import in_the_tray
from tiles.prints.tray.services import MOST_KEYS, add_to_tray
from tiles.search.queries import tile_numbers_of
from tiles.together import queries, services
from tiles.together.change import Change, Outlook
from tiles.together.forms import TogetherForm
from tiles.unloading.services import JudgedMeanwhile, NotFired


@dataclass(frozen=True, slots=True)
class Look:
    """What a change comes to before it is made, and what stands for it."""

    change: Change
    came_to: Outlook
    too_long: str
    looked: str


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def together(request: StudioRequest) -> HttpResponse:
    """What a search found, all ticked, and what can be done to it."""
    found = queries.found_by(request.GET.urlencode())
    return _page(request, found, TogetherForm(), {line.said for line in found.lines})


@require_POST
@login_required
@permission_required("tiles.change_outcome", raise_exception=True)
def change(request: StudioRequest) -> HttpResponse:
    """First what the change comes to; sent once more as it was looked over, it is made."""
    found = queries.found_by(request.GET.urlencode())
    form = TogetherForm(request.POST)
    ticked = set(form.ticked)
    if len(ticked) > queries.MOST:
        form.add_error(None, f"{len(ticked)} are ticked. Change at most {queries.MOST} at once.")
    if not form.is_valid():
        return _page(request, found, form, ticked, status=422)
    if request.POST.get("looked") != form.looked():
        return _page(request, found, form, ticked, look=_look(form))
    try:
        done = services.change_together(form.seen(), form.change(), by=request.user)
    except (JudgedMeanwhile, NotFired) as trouble:
        return _page(request, found, form, ticked, trouble=_trouble(trouble), status=409)
    return _changed(request, found, done)


def _look(form: TogetherForm) -> Look:
    outcomes = Outcome.objects.filter(pk__in=form.seen()).select_related("tile", "zone")
    rows = {row.pk: row for row in outcomes.prefetch_related("flaws")}
    came_to = services.outlook_on(rows.values(), form.change())
    too_long = queries.names_in_words(rows[pk] for pk in came_to.too_long)
    return Look(form.change(), came_to, too_long, form.looked())


def _trouble(trouble: JudgedMeanwhile | NotFired) -> str:
    if isinstance(trouble, NotFired):
        return str(trouble)
    named = queries.names_in_words(trouble.outcomes)
    return (
        f"Judged by somebody else meanwhile: {named}. Nothing was changed. They are shown as they stand now: "
        "tick them to change them too."
    )


def _changed(request: StudioRequest, found: queries.Found, done: services.Done) -> HttpResponse:
    back = _results(found)
    if done.moment is None:
        say(request, "Nothing was changed: all of them say so already.")
        return redirect(back)
    undo = reverse("tiles:together:undo", args=[mark_of(done.moment)])
    count = len(done.came_to.changed)
    say(request, f"{counted(count, 'result')} changed.", undo_url=f"{undo}?{urlencode({'next': back})}")
    return redirect(back)


@require_POST
@login_required
@permission_required("tiles.change_outcome", raise_exception=True)
def undo(request: StudioRequest, mark: int) -> HttpResponse:
    """All that was changed at that moment as it was before; what was judged again since stays and is named."""
    try:
        undone = services.undo_together(mark, by=request.user)
    except OverflowError:
        raise Http404("There is no such moment.") from None
    except CannotUndo as trouble:
        messages.warning(request, str(trouble))
    else:
        say(request, f"{counted(undone.count, 'result')} as before.")
        if undone.left:
            named = queries.names_in_words(undone.left)
            messages.warning(request, f"Judged again since, and left so: {named}.")
    return redirect(way_on(request, reverse("tiles:search:results")))


@require_POST
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def to_tray(request: StudioRequest) -> HttpResponse:
    """Cards or labels of the tiles that are ticked, or of all that the search found, into the print tray."""
    query = request.GET.urlencode()
    ticks = TogetherForm(request.POST)
    keys = list(ticks.seen())
    labels = queries.tile_labels_of(keys) if request.POST.get("of") == "ticked" else tile_numbers_of(query)
    kind = request.POST.get("kind", "")
    try:
        if not labels:
            raise LookupError("Tick at least one result.")
        item = add_to_tray(request.user, kind, labels, own_line=True)
    except LookupError as trouble:
        return render(request, "tiles/prints/tray/refused.html", {"trouble": trouble.args[0]}, status=422)
    out = f"{reverse('tiles:prints:out_of_tray', args=[item.pk])}?{urlencode({'next': _back(request)})}"
    say(request, in_the_tray(KINDS[kind].counted(len(labels))), undo_url=out)
    return redirect(_back(request))


def _back(request: StudioRequest) -> str:
    query = request.GET.urlencode()
    return f"{reverse('tiles:search:results')}{'?' if query else ''}{query}"


def _results(found: queries.Found) -> str:
    return f"{reverse('tiles:search:results')}{'?' if found.query else ''}{found.query}"


def _page(
    request: StudioRequest,
    found: queries.Found,
    form: TogetherForm,
    ticked: set[str],
    *,
    look: Look | None = None,
    trouble: str = "",
    status: int = 200,
) -> HttpResponse:
    shown: dict[str, Any] = {
        "found": found,
        "lines": _with_ticks(found, form, ticked),
        "form": form,
        "look": look,
        "trouble": trouble,
        "most": queries.MOST,
        "most_printed": MOST_KEYS,
        "back": _results(found),
    }
    return render(request, "tiles/together/together.html", shown, status=status)


def _with_ticks(
    found: queries.Found, form: TogetherForm, ticked: set[str]
) -> Sequence[tuple[queries.Line, str]]:
    """The lines, each with what its tick box says of itself.

    Ticked ones that the search does not find any more stand behind them.
    """
    lines = found.lines
    strange = form.seen().keys() - {line.key for line in lines} if form.is_bound else set()
    shown = [*lines, *queries.lines_of(sorted(strange)[: queries.MOST])]
    return [(line, "checked" if line.said in ticked else "") for line in shown]
