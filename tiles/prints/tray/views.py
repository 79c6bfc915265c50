"""The print tray: what lies in it, in which order, and its one PDF."""

from typing import Any

from django.contrib.auth.decorators import login_required, permission_required
from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_POST, require_safe

from firings.http import StudioRequest, say, way_on
from firings.keys import key_of
from tiles.models import PrintItem, PrintRun
from tiles.prints.kinds import KINDS
from tiles.prints.paper import print_pages
from tiles.prints.printers import queries as printers
from tiles.prints.printers.services import choose as choose_printer
from tiles.prints.tray import queries, services
from tiles.prints.tray.http import in_the_tray
from tiles.prints.tray.runs import services as runs
from tiles.prints.tray.runs.tasks import make_in_background

OPTION = "option-"


@require_safe
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def tray(request: StudioRequest) -> HttpResponse:
    """What the person collected, how many sheets of which paper it takes, and what will not fit."""
    return _page(request)


@require_POST
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def add(request: StudioRequest) -> HttpResponse:
    """Put something in, from anywhere, and stay there."""
    keys, options = request.POST.getlist("key"), _options(request.POST)
    try:
        if not keys:
            raise LookupError("There is nothing to put into the print tray.")
        item = services.add_to_tray(request.user, request.POST.get("kind", ""), keys, options)
    except LookupError as trouble:
        return render(request, "tiles/prints/tray/refused.html", {"trouble": trouble.args[0]}, status=422)
    undo = f"{reverse('tiles:prints:out_of_tray', args=[item.pk])}?{urlencode({'key': keys}, doseq=True)}"
    say(request, in_the_tray(f"{KINDS[item.kind].one}, {item.title}"), undo_url=undo)
    return _stay(request)


@require_POST
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def out(request: StudioRequest, pk: int) -> HttpResponse:
    """Out of the tray: the whole line, or only the keys that are named."""
    item = _own(request, pk)
    keys = request.GET.getlist("key")
    services.take_out(item, keys)
    back = reverse("tiles:prints:back_to_tray", args=[pk])
    undo = f"{back}?{urlencode({'key': keys}, doseq=True)}" if keys else back
    say(request, f"Out of the print tray: {item.title}.", undo_url=undo)
    return _stay(request)


@require_POST
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def back(request: StudioRequest, pk: int) -> HttpResponse:
    """Back in the tray where it was."""
    services.put_back(_own(request, pk), request.GET.getlist("key"))
    return _stay(request)


@require_POST
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def move(request: StudioRequest, pk: int) -> HttpResponse:
    """One place to the front or to the end."""
    services.move(_own(request, pk), places=-1 if request.POST.get("to") == "front" else 1)
    return _stay(request)


@require_POST
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def choose(request: StudioRequest, pk: int) -> HttpResponse:
    """How one line is printed."""
    services.choose_options(_own(request, pk), _options(request.POST))
    return _stay(request)


@require_POST
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def empty(request: StudioRequest) -> HttpResponse:
    """All out; with `printed`, the labels that were printed are gone from their sheets too."""
    if request.POST.get("printed"):
        asked = queries.asked_of(request.user, request.preferences)
        services.use_up_labels(queries.parts_of(asked, request.user, notes=False), request.user)
    gone = services.empty(request.user)
    undo = f"{reverse('tiles:prints:refill_tray')}?{urlencode({'line': gone}, doseq=True)}"
    say(request, "The print tray is empty.", undo_url=undo if gone else "")
    return _stay(request)


@require_POST
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def refill(request: StudioRequest) -> HttpResponse:
    """What was just taken out, all at once."""
    lines = list(map(key_of, request.GET.getlist("line")))
    services.put_all_back(request.user, lines)
    return _stay(request)


@require_POST
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def print_tray(request: StudioRequest) -> HttpResponse:
    """The PDF at once; where that takes long, the page that tells how far it is. `paper` names one of several."""
    printer = choose_printer(request.user, request.POST.get("printer"))
    paper = request.POST.get("paper", "")
    asked = queries.asked_of(request.user, request.preferences)
    counted = queries.pages_on(queries.parts_of(asked, request.user, notes=False), paper)
    if not counted:
        return _page(request, "There is nothing in the tray that can be printed.", status=422)
    if len(counted) > runs.AT_ONCE:
        run = runs.begin(request.user, paper=paper, pages=len(counted), preferences=request.preferences)
        make_in_background(run, request.preferences)
        return redirect("tiles:prints:run", pk=run.pk)
    ready = [(name, queries.for_paper(one)) for name, one in asked]
    pages = queries.pages_on(queries.parts_of(ready, request.user, notes=False), paper)
    printed = print_pages(
        pages,
        title=runs.title_of(paper),
        author=request.preferences.studio_name,
        calibration=printers.calibration_of(printer),
    )
    answer = HttpResponse(printed.pdf, content_type="application/pdf")
    answer.headers["Content-Disposition"] = 'inline; filename="print-tray.pdf"'
    return answer


@require_safe
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def run(request: StudioRequest, pk: int) -> HttpResponse:
    """How far a long print is; it asks again by itself."""
    template = "tiles/prints/tray/_run.html" if request.htmx else "tiles/prints/tray/run.html"
    return render(request, template, {"run": _own_run(request, pk)})


@require_safe
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def run_pdf(request: StudioRequest, pk: int) -> HttpResponseBase:
    """The finished file, for a day."""
    path = runs.file_of(_own_run(request, pk))
    if path is None or not path.exists():
        raise Http404("This print is not there any more. Print it again.")
    return FileResponse(path.open("rb"), content_type="application/pdf", filename="print-tray.pdf")


def _own(request: StudioRequest, pk: int) -> PrintItem:
    return get_object_or_404(PrintItem, pk=pk, person=request.user)


def _own_run(request: StudioRequest, pk: int) -> PrintRun:
    return get_object_or_404(PrintRun, pk=pk, person=request.user)


def _options(posted: QueryDict) -> dict[str, str]:
    """What was said of how to print, without what is not said at all."""
    return {
        name.removeprefix(OPTION): value
        for name, value in posted.items()
        if name.startswith(OPTION) and isinstance(value, str) and value
    }


def _stay(request: StudioRequest) -> HttpResponse:
    """On the page it came from, with the news; the tray's own page is drawn anew."""
    here = reverse("tiles:prints:tray")
    if not request.htmx:
        return redirect(way_on(request, here))
    on_tray = (request.htmx.current_url_abs_path or "").partition("?")[0] == here
    if on_tray:
        return _page(request)
    return render(request, "tiles/prints/tray/_news.html")


def _page(request: StudioRequest, trouble: str = "", status: int = 200) -> HttpResponse:
    shown: dict[str, Any] = {
        "tray": queries.tray_of(request.user, request.preferences),
        "printers": printers.all_printers(),
        "printer": printers.usual_printer(request.user),
        "trouble": trouble,
    }
    template = "tiles/prints/tray/_tray.html" if request.htmx else "tiles/prints/tray/tray.html"
    return render(request, template, shown, status=status)
