"""A firing's logged curves: bring one in, look at how it was read, keep it, draw it, take it off."""

import csv
import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.contrib.auth.decorators import login_required, permission_required
from django.http import FileResponse, Http404, HttpResponse, JsonResponse, QueryDict, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from firings.curves import queries, services
from firings.curves.choices import column_names, first_lines, plain_choice, sheet_names
from firings.curves.drawing import drawings_of
from firings.curves.forms import ReadingForm, initial_of
from firings.curves.http import refusal_of, unit_of
from firings.curves.listing import rows_of
from firings.curves.outlook import Outlook, look
from firings.curves.plotted import plotted
from firings.curves.reading import Choice
from firings.curves.samples import unpacked
from firings.curves.services import FileIsGone, LoggerFile
from firings.curves.text import UnreadableCurve
from firings.http import StudioRequest, say
from firings.keys import key_of
from firings.models import CannotUndo, Curve, Firing
from firings.programmes.segments import Unit

PIXELS = 900


def _firing(number: int) -> Firing:
    return get_object_or_404(Firing.objects.for_lists(), number=number)


def _curve(number: int, pk: int) -> Curve:
    return get_object_or_404(Curve, pk=pk, firing=_firing(number))


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("firings.add_curve", raise_exception=True)
def new(request: StudioRequest, number: int) -> HttpResponse:
    """Choose a logger's file; it is stored at once, and looked at next."""
    firing = _firing(number)
    trouble = ""
    if request.method == "POST":
        file = request.FILES.get("file")
        trouble = refusal_of(request, file)
        if not trouble and file is not None:
            sha256 = services.receive_file(file.chunks())
            return redirect(_look_address(firing, sha256, {"name": file.name or "log"}))
    page = {"firing": firing, "trouble": trouble}
    return render(request, "firings/curves/new.html", page, status=422 if trouble else 200)


def _look_address(firing: Firing, sha256: str, query: dict[str, Any]) -> str:
    return f"{reverse('firings:curves:look', args=[firing.number, sha256])}?{urlencode(query, doseq=True)}"


@dataclass(frozen=True, slots=True)
class Looked:
    """A file on the screen: the form of corrections, what it comes to or why it cannot be read."""

    form: ReadingForm
    outlook: Outlook | None = None
    words: str = ""
    trouble: str = ""

    @property
    def sheet(self) -> str | None:
        """The sheet that was read, or was to be."""
        if self.outlook:
            return self.outlook.reading.read_as.sheet or None
        return self.form.data.get("sheet") or None

    @property
    def shown(self) -> str:
        """The reading on the screen, to tell whether somebody changed the form since."""
        return _as_shown(self.outlook.choice, self.outlook.counts) if self.outlook else ""


def _as_shown(choice: Choice, counts: str) -> str:
    return json.dumps([plain_choice(choice), counts])


def _first_look(firing: Firing, data: bytes) -> Looked:
    """A file nobody has corrected yet."""
    try:
        outlook, words = queries.proposed_outlook(firing.kiln, data)
    except UnreadableCurve as trouble:
        form = ReadingForm(columns=column_names(data, Choice()), sensors=[], sheets=sheet_names(data))
        return Looked(form, trouble=trouble.words)
    initial = initial_of(plain_choice(outlook.choice), outlook.counts)
    return Looked(ReadingForm(initial=initial, **_found(outlook)), outlook, words)


def _found(outlook: Outlook) -> dict[str, Any]:
    """What there is to choose among in a file that was read."""
    reading = outlook.reading
    return {
        "columns": list(outlook.names),
        "sensors": list(reading.by_name()),
        "sheets": reading.read_as.sheets,
        "read_as": reading.read_as,
    }


def _look_again(typed: QueryDict, data: bytes) -> Looked:
    """A file read as somebody said."""
    told = Choice(separator=typed.get("separator") or None, sheet=typed.get("sheet") or None)
    counts = [one for one in [typed.get("counts")] if one]
    form = ReadingForm(typed, columns=column_names(data, told), sensors=counts, sheets=sheet_names(data))
    if not form.is_valid():
        return Looked(form, trouble="Correct what is marked below.")
    try:
        outlook = look(data, form.choice(), form.cleaned_data["counts"])
    except UnreadableCurve as trouble:
        return Looked(form, trouble=trouble.words)
    return Looked(ReadingForm(typed, **_found(outlook)), outlook)


# Columns of one sheet say nothing of another.
OF_ONE_SHEET = ("time", "clock", "sensors", "counts", "header_rows")


def _of_its_sheet(typed: QueryDict) -> QueryDict:
    """What was typed, without the columns of the sheet that was left for another."""
    if typed.get("sheet", "") in ("", typed.get("sheet_shown", typed.get("sheet", ""))):
        return typed
    kept = typed.copy()
    for name in OF_ONE_SHEET:
        kept.pop(name, None)
    return kept


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("firings.add_curve", raise_exception=True)
def preview(request: StudioRequest, number: int, sha256: str) -> HttpResponse:
    """How a file was read, drawn, with every assumption open to correction; kept only when confirmed as shown."""
    firing = _firing(number)
    file = LoggerFile(sha256, request.GET.get("name") or "log")
    try:
        data = services.contents(sha256)
    except FileIsGone as gone:
        messages.warning(request, str(gone))
        return redirect("firings:curves:new", firing.number)
    if request.method == "POST":
        return _confirm(request, firing, file, data)
    looked = _look_again(request.GET, data) if "look" in request.GET else _first_look(firing, data)
    return _show(request, firing, file, data, looked)


def _confirm(request: StudioRequest, firing: Firing, file: LoggerFile, data: bytes) -> HttpResponse:
    """Keep what is on the screen; where the form was changed since, show that first."""
    said = _of_its_sheet(request.POST)
    looked = _look_again(said, data)
    if looked.outlook is None:
        return _show(request, firing, file, data, looked, status=422)
    if "keep" not in request.POST or looked.shown != request.POST.get("shown"):
        if "keep" in request.POST:
            messages.info(request, "You changed how it is read. Look at it once more, then keep it.")
        typed = {name: said.getlist(name) for name in looked.form.fields if said.get(name)}
        return redirect(_look_address(firing, file.sha256, {"name": file.name, "look": "1", **typed}))
    before = queries.version_held(firing, file.sha256)
    curve = services.keep_curve(firing.pk, file, looked.outlook, by=request.user)
    undo = ("put_back", before) if before else ("take_off", curve.pk)
    say(
        request,
        _kept_words(curve, anew=before is not None),
        undo_url=reverse(f"firings:curves:{undo[0]}", args=[firing.number, undo[1]]),
    )
    return redirect(firing)


def _kept_words(curve: Curve, *, anew: bool = False) -> str:
    heat = queries.curve_words(curve, Unit.CELSIUS)
    said = f" It comes to cone {heat['cone']}." if heat else ""
    return f"The curve of {curve.firing.label} is {'kept as read now' if anew else 'kept'}.{said}"


def _show(
    request: StudioRequest, firing: Firing, file: LoggerFile, data: bytes, looked: Looked, status: int = 200
) -> HttpResponse:
    page: dict[str, Any] = {"firing": firing, "file": file, "looked": looked, "form": looked.form}
    page["is_held"] = queries.version_held(firing, file.sha256) is not None
    page["first_lines"] = first_lines(data, looked.sheet)
    if looked.outlook is not None:
        course = queries.outlook_course(looked.outlook, firing)
        page["drawings"] = drawings_of(course, unit_of(request))
        heat, corrected = queries.outlook_heat(looked.outlook, firing)
        page["heat"] = queries.both_in_words(heat, corrected, unit_of(request))
        page["noticed"] = queries.noticed(looked.outlook.reading.warnings, corrected or heat)
        page["doubts"] = queries.doubts_of(firing, file.sha256, looked.outlook, corrected or heat)
        page["read_as"] = looked.outlook.reading.read_as
    return render(request, "firings/curves/look.html", page, status=status)


@require_safe
@login_required
@permission_required("firings.view_curve", raise_exception=True)
def curve_page(request: StudioRequest, number: int, pk: int) -> HttpResponse:
    """One curve: drawn, how it was read, the table behind it."""
    curve = _curve(number, pk)
    firing = _firing(number)
    course = queries.course_for(curve, firing)
    page = {
        "curve": curve,
        "firing": firing,
        "counts": queries.curves_of(firing)[0].pk == curve.pk,
        "heat": queries.curve_words(curve, unit_of(request)),
        "noticed": queries.noticed_of(curve),
        "rows": list(rows_of(course, unit_of(request))),
        "drawings": drawings_of(course, unit_of(request)),
    }
    return render(request, "firings/curves/curve.html", page)


@require_safe
@login_required
@permission_required("firings.view_curve", raise_exception=True)
def plot(request: StudioRequest, number: int, pk: int) -> HttpResponse:
    """A curve's columns for the plot, thinned to its pixels."""
    pixels = key_of(request.GET.get("pixels", "")) or PIXELS
    course = queries.course_for(_curve(number, pk), _firing(number))
    return JsonResponse(plotted(course, pixels, unit_of(request)))


@require_safe
@login_required
@permission_required("firings.view_curve", raise_exception=True)
def rows_csv(request: StudioRequest, number: int, pk: int) -> StreamingHttpResponse:
    """All that was read of a curve, in °C, one reading a row."""
    curve = _curve(number, pk)
    answer = StreamingHttpResponse(_csv_lines(curve), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{curve.firing.label}-curve.csv"'
    return answer


class _Line:
    """What csv writes to: each line is handed back."""

    def write(self, line: str) -> str:
        return line


def _csv_lines(curve: Curve) -> Iterator[str]:
    writer = csv.writer(_Line())
    times_s, sensors = unpacked(bytes(curve.samples), curve.sample_count)
    yield writer.writerow(["seconds", *(f"°C {one['name']}" for one in curve.sensors)])
    for time_s, *temps in zip(times_s.tolist(), *(sensor.tolist() for sensor in sensors), strict=True):
        yield writer.writerow([f"{time_s:g}", *(f"{temp:.2f}" if temp == temp else "" for temp in temps)])


@require_safe
@login_required
@permission_required("firings.add_curve", raise_exception=True)
def original(request: StudioRequest, number: int, pk: int) -> FileResponse:
    """The logger's file as it came."""
    curve = _curve(number, pk)
    place = services.originals().find(curve.original_sha256)
    if place is None:
        raise Http404("The logger’s file is not in the data folder.")
    return FileResponse(
        place.open("rb"),
        as_attachment=True,
        filename=curve.original_name,
        content_type="application/octet-stream",
    )


@require_POST
@login_required
@permission_required("firings.change_curve", raise_exception=True)
def let_count(request: StudioRequest, number: int, pk: int) -> HttpResponse:
    """Let this curve decide."""
    curve = _curve(number, pk)
    before = queries.curves_of(curve.firing)[0]
    services.let_count(curve, by=request.user)
    undo = reverse("firings:curves:let_count", args=[number, before.pk]) if before.pk != curve.pk else ""
    say(request, f"{curve.original_name} counts for {curve.firing.label}.", undo_url=undo)
    return redirect(curve.firing)


@require_POST
@login_required
@permission_required("firings.change_curve", raise_exception=True)
def take_off(request: StudioRequest, number: int, pk: int) -> HttpResponse:
    """Take a curve off its firing."""
    curve = _curve(number, pk)
    version_id = services.take_off(curve, by=request.user)
    undo = reverse("firings:curves:put_back", args=[number, version_id])
    say(request, f"{curve.original_name} is taken off {curve.firing.label}.", undo_url=undo)
    return redirect(curve.firing)


@require_POST
@login_required
@permission_required("firings.change_curve", raise_exception=True)
def put_back(request: StudioRequest, number: int, history_id: int) -> HttpResponse:
    """Put a curve back that was taken off, or as it was before it was read anew."""
    firing = _firing(number)
    version = get_object_or_404(Curve.history, history_id=history_id, firing_id=firing.pk)
    try:
        curve = services.put_back(version, by=request.user)
    except CannotUndo as trouble:
        messages.error(request, str(trouble))
    except (FileIsGone, UnreadableCurve) as trouble:
        messages.error(request, f"The curve cannot be put back. {trouble}")
    else:
        say(request, f"{curve.original_name} is back.")
    return redirect(firing)
