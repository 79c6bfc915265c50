"""Printers: the ruler page, what was measured on it, and the page that shows before and after."""

from typing import Any

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from firings.http import StudioRequest, conflict, say, typed_in
from firings.models import StaleEdit
from tiles.catalogue.services import keep_record
from tiles.models import Printer
from tiles.prints import ruler
from tiles.prints.cards import PAPERS
from tiles.prints.paper import Page, print_pages
from tiles.prints.printers import queries
from tiles.prints.printers.forms import PrinterForm
from tiles.prints.stock import TRUE_PRINTER, Calibration


@require_safe
@login_required
@permission_required("tiles.view_printer", raise_exception=True)
def printers(request: StudioRequest) -> HttpResponse:
    """Every printer that was measured, and how to measure one."""
    rows = [(printer, queries.measured(printer).words) for printer in queries.all_printers()]
    page = {"rows": rows, "papers": list(PAPERS), "usual": queries.usual_printer(request.user)}
    return render(request, "tiles/prints/printers/printers.html", page)


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.add_printer", raise_exception=True)
def new(request: StudioRequest) -> HttpResponse:
    form = PrinterForm(typed_in(request))
    if request.method == "POST" and form.is_valid():
        printer = keep_record(form, by=request.user)
        return _kept(request, printer)
    return _form_page(request, form, "Measure a printer")


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.change_printer", raise_exception=True)
def edit(request: StudioRequest, pk: int) -> HttpResponse:
    printer = get_object_or_404(Printer, pk=pk)
    form = PrinterForm(typed_in(request), instance=printer)
    if request.method == "POST" and form.is_valid():
        try:
            return _kept(request, keep_record(form, by=request.user))
        except StaleEdit as stale:
            return conflict(request, form, stale.current, back=reverse("tiles:prints:printers"))
    return _form_page(request, form, str(printer))


@require_safe
@login_required
@permission_required("tiles.view_printer", raise_exception=True)
def ruler_pdf(request: StudioRequest) -> HttpResponse:
    """The page to measure, uncorrected; `paper` names another than the studio's usual one."""
    asked = request.GET.get("paper", "")
    paper = asked if asked in PAPERS else request.preferences.paper
    return _pdf(ruler.ruler_page(paper, PAPERS[paper]), f"ruler-page-{paper.lower()}")


@require_safe
@login_required
@permission_required("tiles.view_printer", raise_exception=True)
def check_pdf(request: StudioRequest, pk: int) -> HttpResponse:
    """Before and after on one page."""
    printer = get_object_or_404(Printer, pk=pk)
    calibration = queries.calibration_of(printer)
    page = ruler.check_page(str(printer), PAPERS[request.preferences.paper], calibration)
    return _pdf(page, "check-page", calibration)


def _kept(request: StudioRequest, printer: Any) -> HttpResponse:
    say(request, f"{printer} is kept: {queries.measured(printer).words}.")
    return redirect("tiles:prints:printers")


def _form_page(request: StudioRequest, form: PrinterForm, title: str) -> HttpResponse:
    page = {"form": form, "title": title, "papers": list(PAPERS)}
    status = 422 if request.method == "POST" else 200
    return render(request, "tiles/prints/printers/printer.html", page, status=status)


def _pdf(page: Page, name: str, calibration: Calibration = TRUE_PRINTER) -> HttpResponse:
    printed = print_pages([page], title=name.replace("-", " ").capitalize(), calibration=calibration)
    answer = HttpResponse(printed.pdf, content_type="application/pdf")
    answer.headers["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return answer
