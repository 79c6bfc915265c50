"""Programmes: what the studio fires by, what each comes to, and the editor that tells it as one types."""

from typing import Any
from urllib.parse import urlencode

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from firings.heatwork.predict import KilnFigures
from firings.http import StudioRequest, conflict, say_kept, typed_in
from firings.keys import key_of
from firings.models import Programme, StaleEdit
from firings.programmes import services
from firings.programmes.apart import cones_apart, hours_apart, outlook_pairs, segment_pairs
from firings.programmes.arranging import Arranged, arranged, from_line
from firings.programmes.drawing import NARROW, SMALL, WIDE, draw
from firings.programmes.forms import (
    AimForm,
    LineForm,
    ProgrammeForm,
    standing_rows,
    trouble_of,
    typed_rows,
    unit_of,
)
from firings.programmes.outlook import CAUTION, outlook_of
from firings.programmes.queries import (
    firings_on,
    kiln_figures,
    latest_of,
    lineage_of,
    programmes_for_list,
    segments_of,
    was_fired,
)
from firings.programmes.reaching import reach
from firings.programmes.rows import Row, read_rows
from firings.programmes.segments import Segment, Unit, UnreadableProgramme, read, write


@require_safe
@login_required
@permission_required("firings.view_programme", raise_exception=True)
def programme_list(request: StudioRequest) -> HttpResponse:
    """The last version of each programme, with what it comes to, in a kiln if one is asked for."""
    aim = AimForm(request.GET)
    aim.is_valid()
    kiln = kiln_figures(aim.chosen_kiln)
    unit = unit_of(request.GET.get("unit"), request.preferences.temperature_unit)
    listed = [(one, _seen(segments_of(one), unit, kiln)) for one in programmes_for_list()]
    page = {"listed": listed, "kiln": aim.chosen_kiln}
    return render(request, "firings/programmes/list.html", page)


def _seen(segments: list[Segment], unit: Unit, kiln: KilnFigures) -> dict[str, Any]:
    """A programme's outlook and its shape at a glance, nothing where it has no segments."""
    if not segments:
        return {}
    return {"outlook": outlook_of(segments, unit, kiln), "drawing": draw([segments], SMALL, unit, kiln)}


def _outlook_page(segments: list[Segment], unit: Unit, aim: AimForm) -> dict[str, Any]:
    """All that a programme comes to, for the cone and the kiln asked for."""
    if not segments:
        return {"caution": CAUTION, "aim": aim, "unit": unit.value}
    kiln = kiln_figures(aim.chosen_kiln)
    outlook = outlook_of(segments, unit, kiln)
    return {
        "outlook": outlook,
        "wide": draw([segments], WIDE, unit, kiln),
        "narrow": draw([segments], NARROW, unit, kiln),
        "reach": reach(segments, aim.order, outlook.prediction, unit) if aim.order else None,
        "caution": CAUTION,
        "aim": aim,
        "kiln": aim.chosen_kiln,
        "unit": unit.value,
    }


@require_safe
@login_required
@permission_required("firings.view_programme", raise_exception=True)
def programme_page(request: StudioRequest, pk: int) -> HttpResponse:
    """One version of a programme: drawn, by the clock, what it comes to, its versions and its firings."""
    programme = get_object_or_404(Programme.objects.prefetch_related("segments"), pk=pk)
    unit = unit_of(request.GET.get("unit"), request.preferences.temperature_unit)
    segments = segments_of(programme)
    aim = AimForm(request.GET)
    aim.is_valid()
    versions = lineage_of(programme)
    page = {
        "programme": programme,
        "versions": versions,
        "latest": versions[0] if versions else programme,
        "was_fired": was_fired(programme),
        "firings": firings_on([programme]),
        "line": write(segments, unit=unit).replace(",", ", "),
        **_outlook_page(segments, unit, aim),
    }
    return render(request, "firings/programmes/programme.html", page)


def _editor(
    request: StudioRequest, form: ProgrammeForm, after: Arranged, programme: Programme, status: int = 200
) -> HttpResponse:
    """The editor, whole or as the fragment htmx asked for."""
    aim = AimForm(request.POST or request.GET)
    aim.is_valid()
    page = {
        "form": form,
        "programme": programme,
        "was_fired": bool(programme.pk) and was_fired(programme),
        "after": after,
        **_preview_page(after.rows, after.unit, aim, is_sent=form.is_bound and status == 422),
    }
    fragment = request.htmx and status == 200
    return render(
        request, f"firings/programmes/{'_editor' if fragment else 'edit'}.html", page, status=status
    )


def _preview_page(rows: list[Row], unit: Unit, aim: AimForm, *, is_sent: bool) -> dict[str, Any]:
    """The rows with what does not read, and what the rows that read come to."""
    segments, troubles = read_rows(rows, unit)
    by_key = trouble_of(troubles)
    page = _outlook_page(segments, unit, aim)
    lines = iter(page["outlook"].lines if segments else ())
    seen = [
        (row, by_key.get(row.key), None if row.is_blank or row.key in by_key else next(lines)) for row in rows
    ]
    reach_key = ""
    if page.get("reach") and not troubles:
        reach_key = [row.key for row, _, line in seen if line][page["reach"].segment]
    return {
        **page,
        "rows": seen,
        "troubles": troubles,
        "is_sent": is_sent,
        "reach_key": reach_key,
        "line": write(segments, unit=unit).replace(",", ", "),
    }


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("firings.add_programme", raise_exception=True)
def new(request: StudioRequest) -> HttpResponse:
    """Write a programme; `?line=` begins with one written in a line, `?from=` with a copy of another."""
    unit = unit_of(request.POST.get("unit") or request.GET.get("unit"), request.preferences.temperature_unit)
    data = typed_in(request)
    rows = _first_rows(request, unit) if data is None else typed_rows(data)
    if data is not None and data.get("do"):
        after = arranged(str(data["do"]), data.get("line", ""), rows, unit)
        form = ProgrammeForm(data, rows=after.rows, unit=after.unit, instance=Programme())
        return _editor(request, _unjudged(form), after, Programme())
    form = ProgrammeForm(data, rows=rows, unit=unit, instance=Programme())
    if data is not None and form.is_valid():
        programme = services.add_programme(form.facts(), by=request.user)
        say_kept(request, programme, 0, words=f"Programme {programme} is kept.")
        return redirect("firings:programmes:programme", programme.pk)
    return _editor(request, form, Arranged(rows, unit), Programme(), 422 if form.is_bound else 200)


def _first_rows(request: StudioRequest, unit: Unit) -> list[Row]:
    if line := request.GET.get("line"):
        return from_line(line, [Row("1")], unit).rows
    if pk := key_of(request.GET.get("from", "")):
        return standing_rows(get_object_or_404(Programme.objects.all(), pk=pk), unit)
    return [Row("1"), Row("2"), Row("3")]


def _unjudged(form: ProgrammeForm) -> ProgrammeForm:
    """The form as typed, without a word on what is still missing: it was not sent to be kept."""
    form.errors.clear()
    return form


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("firings.change_programme", raise_exception=True)
def edit(request: StudioRequest, pk: int) -> HttpResponse:
    """Change a programme: in place while nothing was fired on it, else as its next version."""
    asked = get_object_or_404(Programme.objects.all(), pk=pk)
    programme = latest_of(asked)
    if request.method != "POST" and programme.pk != asked.pk:
        return redirect("firings:programmes:edit", programme.pk)
    unit = unit_of(request.POST.get("unit") or request.GET.get("unit"), request.preferences.temperature_unit)
    data = typed_in(request)
    rows = standing_rows(programme, unit) if data is None else typed_rows(data)
    if data is not None and data.get("do"):
        after = arranged(str(data["do"]), data.get("line", ""), rows, unit)
        form = ProgrammeForm(data, rows=after.rows, unit=after.unit, instance=programme)
        return _editor(request, _unjudged(form), after, programme)
    form = ProgrammeForm(data, rows=rows, unit=unit, instance=programme)
    if data is not None and form.is_valid():
        return _keep(request, form, programme)
    return _editor(request, form, Arranged(rows, unit), programme, 422 if form.is_bound else 200)


def _keep(request: StudioRequest, form: ProgrammeForm, programme: Programme) -> HttpResponse:
    before = programme.standing_version
    try:
        kept = services.keep_programme(programme, form.stamp, form.facts(), by=request.user)
    except StaleEdit as stale:
        back = reverse("firings:programmes:programme", args=[stale.current.pk])
        return conflict(request, form, stale.current, back=back)
    if kept.pk == programme.pk:
        say_kept(request, kept, before, words=f"Programme {kept} is kept.")
    else:
        words = f"Kept as version {kept.version}; what was fired before stays as it was."
        say_kept(request, kept, 0, words=words)
    return redirect("firings:programmes:programme", kept.pk)


@require_POST
@login_required
@permission_required("firings.add_programme", raise_exception=True)
def preview(request: StudioRequest) -> HttpResponse:
    """What the rows come to as they are typed; nothing is kept."""
    unit = unit_of(request.POST.get("unit"), request.preferences.temperature_unit)
    aim = AimForm(request.POST)
    aim.is_valid()
    page = _preview_page(typed_rows(request.POST), unit, aim, is_sent=False)
    return render(request, "firings/programmes/_preview.html", {**page, "is_live": True})


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@permission_required("firings.add_programme", raise_exception=True)
def text(request: StudioRequest) -> HttpResponse:
    """A programme from one line; the editor opens with its segments."""
    unit = unit_of(request.POST.get("unit"), request.preferences.temperature_unit)
    form = LineForm(typed_in(request))
    if form.is_bound and form.is_valid():
        try:
            read(form.cleaned_data["line"], unit=unit)
        except UnreadableProgramme as trouble:
            form.add_error("line", str(trouble))
        else:
            asked = urlencode({"line": form.cleaned_data["line"], "unit": unit.value})
            return redirect(f"{reverse('firings:programmes:new')}?{asked}")
    page = {"form": form, "unit": unit.value}
    return render(request, "firings/programmes/text.html", page, status=422 if form.is_bound else 200)


@require_safe
@login_required
@permission_required("firings.view_programme", raise_exception=True)
def compare(request: StudioRequest) -> HttpResponse:
    """Two programmes over one another, with what differs."""
    unit = unit_of(request.GET.get("unit"), request.preferences.temperature_unit)
    one, other = (_asked(request, name) for name in ("a", "b"))
    page: dict[str, Any] = {
        "one": one,
        "other": other,
        "choices": Programme.objects.order_by("name", "-version"),
        "caution": CAUTION,
        "unit": unit.value,
    }
    if one and other:
        page |= _compared(segments_of(one), segments_of(other), unit)
    return render(request, "firings/programmes/compare.html", page)


def _asked(request: StudioRequest, name: str) -> Programme | None:
    known = Programme.objects.prefetch_related("segments")
    return known.filter(pk=key_of(request.GET.get(name, ""))).first()


def _compared(one: list[Segment], other: list[Segment], unit: Unit) -> dict[str, Any]:
    if not (one and other):
        return {}
    first, second = outlook_of(one, unit), outlook_of(other, unit)
    return {
        "wide": draw([one, other], WIDE, unit),
        "narrow": draw([one, other], NARROW, unit),
        "pairs": [*outlook_pairs(first, second), *segment_pairs(first.lines, second.lines)],
        "cones_apart": cones_apart(first, second),
        "hours_apart": hours_apart(first, second),
    }
