"""Bring a spreadsheet in: choose it, say what its columns and names mean, mend, keep all of it, undo all of it."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required, permission_required
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from firings.http import say, typed_in
from studio.http import PersonRequest
from studio.importing import forms, page, queries, services
from studio.importing.fields import BODIES, GLAZES, KINDS, RESULTS
from studio.importing.http import as_csv, message_rows, refusal_of
from studio.importing.pasted import as_table
from studio.importing.reading import Unreadable
from studio.importing.tasks import CHECK, KEEP, UNDO, ask_worker
from studio.importing.told import Told
from studio.importing.undoing import services as undoing
from studio.models import SpreadsheetImport
from studio.vocabulary import ImportState


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("tiles.add_tile", raise_exception=True)
def imports(request: PersonRequest) -> HttpResponse:
    """Choose a spreadsheet, or write its rows; what came in before, and how that went."""
    first = {"kind": request.GET["rows"]} if request.GET.get("rows") in KINDS else None
    form = forms.FileForm(typed_in(request), request.FILES or None, initial=first)
    if request.method == "POST":
        if trouble := refusal_of(request):
            form.add_error("file", trouble)
        elif form.is_valid():
            try:
                new = _received(form, request)
            except Unreadable as problem:
                form.add_error("file" if form.cleaned_data["file"] else "pasted", str(problem))
            else:
                _try(new, request)
                return redirect("importing:sheet", new.pk)
    shown = {"form": form, "imports": queries.for_list()}
    return render(request, "studio/importing/list.html", shown, status=422 if form.errors else 200)


def _received(form: forms.FileForm, request: PersonRequest) -> SpreadsheetImport:
    kind, file = form.cleaned_data["kind"], form.cleaned_data["file"]
    if file:
        return services.receive(file.read(), file.name or "spreadsheet", kind, by=request.user)
    table = as_table(form.cleaned_data["pasted"], kind, queries.fields_of(kind))
    return services.receive(table.encode(), f"List of {KINDS[kind]}", kind, by=request.user)


@require_safe
@login_required
@permission_required("tiles.add_tile", raise_exception=True)
def example(request: PersonRequest, name: str) -> HttpResponse | FileResponse:
    """A spreadsheet to try this with: an untidy one of invented results, or the headings for glazes and bodies."""
    if name == queries.EXAMPLE.name:
        return FileResponse(queries.EXAMPLE.open("rb"), as_attachment=True, filename=name)
    kind = name.removesuffix(".csv")
    if kind not in (GLAZES, BODIES) or name == kind:
        raise Http404
    return as_csv(name, [[field.label for field in queries.fields_of(kind) if not field.ends]])


def _find(pk: int) -> SpreadsheetImport:
    return get_object_or_404(SpreadsheetImport.objects.select_related("made_by", "undone_by"), pk=pk)


def _try(of: SpreadsheetImport, request: PersonRequest) -> None:
    """Try a file: at once where it is short, else by a worker."""
    try:
        if of.looked["rows"] > services.ROWS_AT_ONCE:
            ask_worker(of, CHECK, by=request.user)
        else:
            services.check(of)
    except (services.Refused, Unreadable) as problem:
        messages.error(request, str(problem))


@require_safe
@login_required
@permission_required("tiles.add_tile", raise_exception=True)
def sheet(request: PersonRequest, pk: int) -> HttpResponse:
    """One spreadsheet: how it is read, what is to mend, what it will make or made."""
    of = _find(pk)
    if request.htmx and of.state == ImportState.WORKING.value:
        return render(request, "studio/importing/_working.html", {"of": of})
    answer = render(request, "studio/importing/sheet.html", _shown(of))
    if request.htmx:
        answer["HX-Refresh"] = "true"
    return answer


def _shown(of: SpreadsheetImport) -> dict[str, Any]:
    told, report = Told.of(of.told), services.report_of(of)
    shown: dict[str, Any] = {"of": of, "told": told, "report": report, "kind": KINDS[of.holds]}
    if report:
        shown |= {
            "made": page.made_words(report, of.holds),
            "new_names": page.new_names(report, of.holds),
            "is_anything": page.is_anything(report),
            "messages_shown": page.messages_shown(report),
        }
    if of.state == ImportState.OPEN.value:
        fields = queries.fields_of(of.holds)
        shown |= {
            "columns": page.columns_shown(of.looked, told, fields),
            "taken_count": sum(map(bool, told.columns.values())),
            "more_names": max(0, len(of.report.get("unknown", [])) - page.NAMES_SHOWN),
            "fields": fields,
            "names": page.names_shown(
                of.report.get("unknown", []), queries.choices_of_names(), near_only=of.holds != RESULTS
            ),
            "defaults": [
                (field, told.defaults.get(field.key, "")) for field in fields if field.key in forms.DEFAULTS
            ],
            "days": forms.DAYS,
            "same_file": queries.same_file(of),
        }
    else:
        shown["may_put_back"] = undoing.may_put_back(of)
    return shown


def _told(request: PersonRequest, pk: int, change: Any) -> HttpResponse:
    """Keep how a file is read, try it, and go back to its page."""
    of = _find(pk)
    try:
        _try(services.tell(of, change), request)
    except services.Refused as problem:
        messages.error(request, str(problem))
    return redirect("importing:sheet", pk)


@require_POST
@login_required
@permission_required("tiles.add_tile", raise_exception=True)
def columns(request: PersonRequest, pk: int) -> HttpResponse:
    """Say what the columns hold."""
    of = _find(pk)
    places = [one["place"] for one in of.looked["columns"]]
    return _told(request, pk, forms.columns_asked(request.POST, places, queries.fields_of(of.holds)).take)


@require_POST
@login_required
@permission_required("tiles.add_tile", raise_exception=True)
def headings(request: PersonRequest, pk: int) -> HttpResponse:
    """Say which sheet is meant, and in which row its headings stand."""
    of = _find(pk)
    row = request.POST.get("row", "")
    try:
        services.look_again(
            of,
            request.POST.get("sheet", ""),
            int(row) if row.isascii() and row.isdigit() and len(row) < 8 else 0,
        )
        _try(of, request)
    except (services.Refused, Unreadable) as problem:
        messages.error(request, str(problem))
    return redirect("importing:sheet", pk)


@require_POST
@login_required
@permission_required("tiles.add_tile", raise_exception=True)
def names(request: PersonRequest, pk: int) -> HttpResponse:
    """Say what names mean that no record has."""
    return _told(request, pk, forms.names_asked(request.POST))


@require_POST
@login_required
@permission_required("tiles.add_tile", raise_exception=True)
def mend(request: PersonRequest, pk: int) -> HttpResponse:
    """Mend cells here, without opening the spreadsheet again."""
    return _told(request, pk, forms.cells_mended(request.POST))


@require_POST
@login_required
@permission_required("tiles.add_tile", raise_exception=True)
def leave(request: PersonRequest, pk: int) -> HttpResponse:
    """Leave out the rows that have something to mend, or take all rows again."""
    report = services.report_of(_find(pk))
    rows = [row for row in (report.rows_to_mend if report else []) if row]

    def take(told: Told) -> None:
        if request.POST.get("all"):
            told.left, told.asides = [], {}
        else:
            told.left = sorted({*told.left, *rows})

    return _told(request, pk, take)


@require_safe
@login_required
@permission_required("tiles.add_tile", raise_exception=True)
def messages_table(request: PersonRequest, pk: int) -> HttpResponse:
    """All messages as a table, to work through beside the spreadsheet."""
    report = services.report_of(_find(pk))
    return as_csv("messages.csv", message_rows(report.messages if report else []))


@require_POST
@login_required
@permission_required("tiles.add_tile", raise_exception=True)
def keep(request: PersonRequest, pk: int) -> HttpResponse:
    """Write all of it into the logbook, or nothing."""
    of = _find(pk)
    try:
        if of.looked["rows"] > services.ROWS_AT_ONCE:
            ask_worker(of, KEEP, by=request.user)
            say(request, f"{of.file_name} is being written into the logbook. You can leave this page.")
        else:
            _say_kept(request, services.keep(of, by=request.user))
    except (services.Refused, Unreadable) as problem:
        messages.error(request, str(problem))
    return redirect("importing:sheet", pk)


def _say_kept(request: PersonRequest, kept: SpreadsheetImport) -> None:
    report = services.report_of(kept)
    if kept.state != ImportState.KEPT.value or report is None:
        messages.error(request, "Something is still to mend, so nothing was kept.")
        return
    words = ", ".join(page.made_words(report, kept.holds)) or "nothing new"
    say(
        request,
        f"{kept.file_name} is in the logbook: {words}.",
        undo_url=reverse("importing:undo", args=[kept.pk]),
    )


@require_POST
@login_required
@permission_required("tiles.change_tile", raise_exception=True)
def undo(request: PersonRequest, pk: int) -> HttpResponse:
    """Take back all that an import made."""
    of = _find(pk)
    try:
        if of.records.count() > services.MANY_ROWS:
            ask_worker(of, UNDO, by=request.user)
            say(request, f"{of.file_name} is being undone. You can leave this page.")
        else:
            undone = undoing.undo(of, by=request.user)
            again = reverse("importing:back", args=[pk]) if undoing.may_put_back(_find(pk)) else ""
            say(request, f"{of.file_name} is undone. {undone.words}", undo_url=again)
    except services.Refused as problem:
        messages.error(request, str(problem))
    return redirect("importing:sheet", pk)


@require_POST
@login_required
@permission_required("tiles.change_tile", raise_exception=True)
def put_back(request: PersonRequest, pk: int) -> HttpResponse:
    """Put back what an undo took away."""
    of = _find(pk)
    try:
        count = undoing.put_back(of, by=request.user)
    except services.Refused as problem:
        messages.error(request, str(problem))
    else:
        words = f"{count:,} records of {of.file_name} are back."
        say(request, words, undo_url=reverse("importing:undo", args=[pk]))
    return redirect("importing:sheet", pk)


@require_POST
@login_required
@permission_required("tiles.add_tile", raise_exception=True)
def drop(request: PersonRequest, pk: int) -> HttpResponse:
    """Forget a spreadsheet that was never kept."""
    of = _find(pk)
    try:
        services.drop(of)
    except services.Refused as problem:
        messages.error(request, str(problem))
        return redirect("importing:sheet", pk)
    say(request, f"{of.file_name} is forgotten; nothing of it was in the logbook.")
    return redirect("importing:list")
