"""What was measured on fired ware: absorption tests and leach reports, listed, shown, written down."""

from collections.abc import Callable
from functools import partial
from typing import Any

from django.contrib.auth.decorators import login_required, permission_required
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from firings.http import StudioRequest, answer_kept, typed_in
from firings.keys import is_key
from tiles import numbers
from tiles.laboratory import queries, services
from tiles.laboratory.absorption import CLASSINGS, DONE_BY, STUDIO_CUSTOM, result_of
from tiles.laboratory.cautions import ABSORPTION, LEACH
from tiles.laboratory.forms import (
    AbsorptionForm,
    LeachForm,
    LeachRows,
    PieceRows,
    leach_rows,
    masses_of,
    piece_rows,
)
from tiles.laboratory.limits import RULES, Rule
from tiles.models import AbsorptionTest, LeachReport, Tile
from tiles.vocabulary import AbsorptionMethod, LeachRule

STEP_G = 0.01


@require_safe
@login_required
@permission_required("tiles.view_absorptiontest", raise_exception=True)
def index(request: StudioRequest) -> HttpResponse:
    page = {
        "shown": queries.overview(),
        "classings": CLASSINGS,
        "custom": STUDIO_CUSTOM,
        "caution": ABSORPTION,
    }
    return render(request, "tiles/laboratory/index.html", page)


@require_safe
@login_required
@permission_required("tiles.view_absorptiontest", raise_exception=True)
def absorption(request: StudioRequest, pk: int) -> HttpResponse:
    test = _test(pk)
    page = {
        "test": test,
        "found": queries.tested([test]),
        "done_by": DONE_BY[test.method],
        "custom": STUDIO_CUSTOM,
        "caution": ABSORPTION,
    }
    return render(request, "tiles/laboratory/absorption.html", page)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("tiles.add_absorptiontest", raise_exception=True)
def new_absorption(request: StudioRequest) -> HttpResponse:
    """Weigh pieces; `?body=` or `?tile=` begins with that body or tile."""
    data, test = typed_in(request), AbsorptionTest()
    rows = piece_rows(data, test)
    form = AbsorptionForm(data, rows=rows, instance=test, initial=None if data else _begun(request))
    if data is not None and all((form.is_valid(), rows.is_valid())):
        keep = partial(services.keep_absorption, form, rows.pieces(), by=request.user)
        return _kept(request, form, keep)
    return _form_page(request, form, rows)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("tiles.change_absorptiontest", raise_exception=True)
def edit_absorption(request: StudioRequest, pk: int) -> HttpResponse:
    test, data = _test(pk), typed_in(request)
    # Told before the form lays over it what was typed, which may be no body at all.
    named = str(test)
    rows = piece_rows(data, test)
    form = AbsorptionForm(data, rows=rows, instance=test)
    if data is not None and all((form.is_valid(), rows.is_valid())):
        keep = partial(services.keep_absorption, form, rows.pieces(), by=request.user)
        return _kept(request, form, keep)
    return _form_page(request, form, rows, named)


@require_POST
@login_required
@permission_required("tiles.add_absorptiontest", raise_exception=True)
def worked(request: StudioRequest) -> HttpResponse:
    """What the masses come to as they are typed; nothing is kept."""
    rows = piece_rows(request.POST, AbsorptionTest())
    return render(request, "tiles/laboratory/_worked.html", _worked(request, rows))


def _kept(
    request: StudioRequest, form: AbsorptionForm | LeachForm, keep: Callable[[], AbsorptionTest | LeachReport]
) -> HttpResponse:
    """Keep a new record or a changed one."""
    page = form.instance.get_absolute_url() if form.instance.pk else ""  # type: ignore[attr-defined]
    return answer_kept(request, form, keep, words="The {} is kept.", stands=page)


def _test(pk: int) -> AbsorptionTest:
    if (test := queries.test_of(pk)) is None:
        raise Http404
    return test


def _begun(request: StudioRequest) -> dict[str, Any]:
    """What a new test begins with: the day, the person, and what the address names."""
    tile = request.GET.get("tile", "")
    begun: dict[str, Any] = {"tested_on": timezone.localdate(), "tested_by": str(request.user)}
    for name in ("body", "glaze"):
        if is_key(asked := request.GET.get(name, "")):
            begun[name] = asked
    if tile and _is_number(tile):
        begun["tile"] = Tile.objects.filter(number=numbers.read(tile)).first()
    return begun


def _is_number(label: str) -> bool:
    try:
        return bool(numbers.read(label))
    except ValueError:
        return False


def _worked(request: StudioRequest, rows: PieceRows) -> dict[str, Any]:
    """The pieces that read, worked out, each beside the row it was typed in."""
    method = request.POST.get("method", "")
    if method not in AbsorptionMethod.values():
        method = AbsorptionMethod.C373_BOIL.value
    rows.is_valid()
    pieces = rows.pieces()
    result = result_of(masses_of(pieces), method, STEP_G) if pieces else None
    wrong = [
        (position, " ".join(words for found in form.errors.values() for words in found))
        for position, form in enumerate(rows.forms, start=1)
        if form.errors
    ]
    return {"result": result, "wrong": wrong}


def _form_page(
    request: StudioRequest, form: AbsorptionForm, rows: PieceRows, named: str = ""
) -> HttpResponse:
    methods = [(method.label, DONE_BY[method]) for method in AbsorptionMethod]
    page = {"form": form, "rows": rows, "test": form.instance, "named": named, "methods": methods}
    page |= {"caution": ABSORPTION}
    if form.is_bound:
        page |= _worked(request, rows)
    return render(
        request, "tiles/laboratory/edit_absorption.html", page, status=422 if form.is_bound else 200
    )


@require_safe
@login_required
@permission_required("tiles.view_leachreport", raise_exception=True)
def leach_reports(request: StudioRequest) -> HttpResponse:
    page = {"found": queries.reports(), "rules": _rules(), "caution": LEACH}
    return render(request, "tiles/laboratory/leach_reports.html", page)


@require_safe
@login_required
@permission_required("tiles.view_leachreport", raise_exception=True)
def leach_report(request: StudioRequest, pk: int) -> HttpResponse:
    report = _report(pk)
    page = {"report": report, "found": queries.reported([report])[0], "caution": LEACH}
    return render(request, "tiles/laboratory/leach_report.html", page)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("tiles.add_leachreport", raise_exception=True)
def new_leach_report(request: StudioRequest) -> HttpResponse:
    """Note a laboratory's report; `?glaze=` or `?tile=` begins with that glaze or tile."""
    data, report = typed_in(request), LeachReport()
    rows = leach_rows(data, report)
    form = LeachForm(data, rows=rows, instance=report, initial=None if data else _begun(request))
    if data is not None and all((form.is_valid(), rows.is_valid())):
        keep = partial(services.keep_leach_report, form, rows.figures(), by=request.user)
        return _kept(request, form, keep)
    return _leach_page(request, form, rows)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("tiles.change_leachreport", raise_exception=True)
def edit_leach_report(request: StudioRequest, pk: int) -> HttpResponse:
    report, data = _report(pk), typed_in(request)
    rows = leach_rows(data, report)
    form = LeachForm(data, rows=rows, instance=report)
    if data is not None and all((form.is_valid(), rows.is_valid())):
        keep = partial(services.keep_leach_report, form, rows.figures(), by=request.user)
        return _kept(request, form, keep)
    return _leach_page(request, form, rows)


def _report(pk: int) -> LeachReport:
    if (report := queries.report_of(pk)) is None:
        raise Http404
    return report


def _rules() -> list[tuple[str, Rule]]:
    return [(rule.label, RULES[rule]) for rule in LeachRule if rule in RULES]


def _leach_page(request: StudioRequest, form: LeachForm, rows: LeachRows) -> HttpResponse:
    page = {"form": form, "rows": rows, "report": form.instance, "rules": _rules(), "caution": LEACH}
    return render(
        request, "tiles/laboratory/edit_leach_report.html", page, status=422 if form.is_bound else 200
    )
