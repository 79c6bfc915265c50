"""Choosing what to print, the PDFs, and label stock of the studio's own."""

import json
from functools import partial
from typing import Any

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.cache import patch_vary_headers
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_POST, require_safe
from django_htmx.http import replace_url

from firings.http import StudioRequest, answer_kept, is_within, say, say_kept, typed_in
from tiles.catalogue.services import keep_record
from tiles.models import LabelStock
from tiles.photos.renditions import Size
from tiles.prints import cards, labels, outlook, picture, queries
from tiles.prints import mat as mats
from tiles.prints.forms import CARDS, LABELS, LabelStockForm, MatForm, PrintForm
from tiles.prints.paper import Printed
from tiles.prints.printers.queries import calibration_of, usual_printer
from tiles.prints.printers.services import choose as choose_printer
from tiles.prints.tray.services import add_to_tray, keep_used

# What is taken again the next time somebody prints here.
REMEMBERED = ("kind", "size", "paper", "stock", "codes")
SESSION_KEY = "print"


@require_safe
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def choose(request: StudioRequest) -> HttpResponse:
    """What to print, on what, from which label on, and what will not fit."""
    return _page(request, PrintForm(_asked(request), request.preferences, request.user))


@require_safe
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def cards_pdf(request: StudioRequest) -> HttpResponse:
    form = PrintForm(_asked(request) | {"kind": CARDS}, request.preferences, request.user)
    if not form.is_ready():
        return _page(request, form)
    size = Size.LARGE if form.cleaned_data["size"] == "large" else Size.MEDIUM
    facts = queries.card_facts(form.selection.tiles, request.preferences, photo_size=size)
    return _pdf(request, form, cards.print_cards(facts, form.card_job()))


@require_safe
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def labels_pdf(request: StudioRequest) -> HttpResponse:
    form = PrintForm(_asked(request) | {"kind": LABELS}, request.preferences, request.user)
    if not form.is_ready():
        return _page(request, form)
    facts = queries.label_facts(form.selection.tiles, request.preferences)
    start = form.cleaned_data["start"]
    gone = {*range(1, start), *(cell for cell in form.used if cell > start)}
    keep_used(request.user, form.data["stock"], gone)
    return _pdf(request, form, labels.print_labels(facts, form.label_job()))


@require_POST
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def chosen_to_tray(request: StudioRequest) -> HttpResponse:
    """What is chosen on the page goes into the print tray instead; `chosen` is the page's address with the choices."""
    _, _, query = request.POST.get("chosen", "").partition("?")
    form = PrintForm(QueryDict(query).dict(), request.preferences, request.user)
    if not form.is_ready():
        return _page(request, form)
    said = form.cleaned_data
    names = ("stock", "codes") if form.kind_asked == LABELS else ("size", "paper")
    item = add_to_tray(
        request.user,
        form.kind_asked,
        [tile.label for tile in form.selection.tiles],
        {name: said[name] for name in names},
    )
    say(
        request,
        f"In the print tray: {item.title}.",
        undo_url=reverse("tiles:prints:out_of_tray", args=[item.pk]),
    )
    return redirect("tiles:prints:tray")


@require_safe
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def mat(request: StudioRequest) -> HttpResponse:
    """The photo mat: which sheet, what it looks like, how to photograph on it."""
    return _mat_page(request, MatForm(request.GET.dict(), request.preferences))


@require_safe
@login_required
@permission_required("tiles.view_tile", raise_exception=True)
def mat_pdf(request: StudioRequest) -> HttpResponse:
    form = MatForm(request.GET.dict(), request.preferences)
    if not form.is_valid():
        return _mat_page(request, form)
    sheet = form.chosen_sheet
    return _inline(
        mats.print_mat(sheet, form.outline, calibration_of(usual_printer(request.user))),
        f"photo-mat-{sheet.name}".lower(),
    )


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.add_labelstock", raise_exception=True)
def new_stock(request: StudioRequest) -> HttpResponse:
    """Label stock by its numbers; in the dialog of the print page, or a page of its own that leads back there."""
    form = LabelStockForm(typed_in(request), initial=queries.numbers_like(request.GET.get("like", "")))
    if request.method == "POST" and form.is_valid():
        stock = keep_record(form, by=request.user)
        key = queries.saved_key(stock.pk)
        if request.htmx:
            added = {"kind": "labelstock", "value": key, "label": str(stock)}
            return HttpResponse(status=204, headers={"HX-Trigger": json.dumps({"added": added})})
        say_kept(request, stock, 0, back=_back(request))
        return redirect(_back(request, stock=key))
    return _stock_page(request, form, "Label stock of your own")


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.change_labelstock", raise_exception=True)
def edit_stock(request: StudioRequest, pk: int) -> HttpResponse:
    changed = get_object_or_404(LabelStock, pk=pk)
    form = LabelStockForm(typed_in(request), instance=changed)
    if request.method == "POST" and form.is_valid():
        keep, on = partial(keep_record, form, by=request.user), _back(request, stock=queries.saved_key(pk))
        return answer_kept(request, form, keep, then=on, undone=on, stands=_back(request))
    return _stock_page(request, form, str(changed))


def _asked(request: StudioRequest) -> dict[str, str]:
    """What the address says, over what was printed on last."""
    return request.session.get(SESSION_KEY, {}) | request.GET.dict()


def _page(request: StudioRequest, form: PrintForm) -> HttpResponse:
    """The page of choices, or for a change on it the part that shows what it comes to."""
    is_right = form.is_valid()
    page = {
        "form": form,
        "tiles": form.selection.tiles,
        "outlook": _outlook(form) if is_right else None,
        "sample_photo": queries.best_photo(form.selection.tiles[:1]) if is_right else None,
        "without": {name: _without(request, name) for name in ("firing", "results")},
    }
    template = "tiles/prints/_outlook.html" if request.htmx else "tiles/prints/choose.html"
    answer = render(request, template, page, status=200 if is_right else 422)
    patch_vary_headers(answer, ["HX-Request"])
    return replace_url(answer, request.get_full_path()) if request.htmx else answer


def _outlook(form: PrintForm) -> outlook.Outlook:
    if form.kind_asked == LABELS:
        facts = queries.label_facts(form.selection.tiles, form.preferences)
        return outlook.of_labels(facts, form.label_job())
    return outlook.of_cards(queries.card_facts(form.selection.tiles, form.preferences), form.card_job())


def _pdf(request: StudioRequest, form: PrintForm, printed: Printed) -> HttpResponse:
    """The finished PDF, shown in the browser; what it was printed on is taken again next time."""
    request.session[SESSION_KEY] = {name: form.data[name] for name in REMEMBERED}
    choose_printer(request.user, form.data["printer"] or "none")
    return _inline(printed, slugify(f"{form.kind_asked} {form.selection.title}"))


def _inline(printed: Printed, name: str) -> HttpResponse:
    answer = HttpResponse(printed.pdf, content_type="application/pdf")
    answer.headers["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return answer


def _mat_page(request: StudioRequest, form: MatForm) -> HttpResponse:
    """The page, or for a change on it the part that shows the sheet."""
    is_right = form.is_valid()
    layout = mats.lay_out(form.chosen_sheet, form.outline) if is_right else None
    page = {"form": form, "drawing": picture.drawing_of(layout) if layout else None}
    template = "tiles/prints/_mat.html" if request.htmx else "tiles/prints/mat.html"
    answer = render(request, template, page, status=200 if is_right else 422)
    patch_vary_headers(answer, ["HX-Request"])
    return replace_url(answer, request.get_full_path()) if request.htmx else answer


def _stock_page(request: StudioRequest, form: LabelStockForm, title: str) -> HttpResponse:
    template = "tiles/prints/_stock.html" if request.htmx else "tiles/prints/stock.html"
    page = {"form": form, "title": title, "back": _back(request)}
    return render(request, template, page, status=422 if request.method == "POST" else 200)


def _back(request: StudioRequest, **said: Any) -> str:
    """Back to what was being printed, with more said; only to this site."""
    place = request.GET.get("next", "")
    if not is_within(request, place):
        place = reverse("tiles:prints:choose")
    path, _, query = place.partition("?")
    asked = QueryDict(query, mutable=True)
    for name, value in said.items():
        asked[name] = value
    return f"{path}?{asked.urlencode()}" if asked else path


def _without(request: StudioRequest, name: str) -> str:
    """The same page with one thing not asked for."""
    asked = request.GET.copy()
    asked.pop(name, None)
    return f"{reverse('tiles:prints:choose')}?{asked.urlencode()}"
