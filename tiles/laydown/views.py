"""A batch's page: its readings over time, a quick entry, and water to thin it."""

from functools import partial

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from firings.http import StudioRequest, answer_kept, say_kept, typed_in
from tiles.catalogue.services import keep_record
from tiles.laydown import queries
from tiles.laydown.drift import FLOW_BOUND_PCT, SG_BOUND, TEMP_BOUND_C
from tiles.laydown.forms import BatchReadingForm, ThinningForm
from tiles.models import BatchReading, GlazeBatch


def _batch(pk: int) -> GlazeBatch:
    return get_object_or_404(GlazeBatch.objects.select_related("glaze"), pk=pk)


@require_safe
@login_required
@permission_required("tiles.view_batchreading", raise_exception=True)
def batch(request: StudioRequest, pk: int) -> HttpResponse:
    return _page(request, _batch(pk), None)


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.add_batchreading", raise_exception=True)
def new_reading(request: StudioRequest, pk: int) -> HttpResponse:
    of_batch = _batch(pk)
    if request.method != "POST":
        return redirect(of_batch)
    form = BatchReadingForm(request.POST, instance=BatchReading(batch=of_batch))
    if not form.is_valid():
        return _page(request, of_batch, form)
    kept = keep_record(form, by=request.user)
    back = of_batch.get_absolute_url()
    say_kept(request, kept, 0, words=f"The reading of {kept} is kept.", back=back)
    return redirect(back)


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.change_batchreading", raise_exception=True)
def edit_reading(request: StudioRequest, pk: int) -> HttpResponse:
    reading = get_object_or_404(BatchReading.objects.select_related("batch__glaze"), pk=pk)
    form = BatchReadingForm(typed_in(request), instance=reading)
    if request.method == "POST" and form.is_valid():
        keep = partial(keep_record, form, by=request.user)
        return answer_kept(request, form, keep, words="The reading of {} is kept.")
    page = {"form": form, "reading": reading, "back": reading.get_absolute_url()}
    return render(request, "tiles/laydown/edit.html", page, status=422 if request.method == "POST" else 200)


def _page(request: StudioRequest, shown: GlazeBatch, form: BatchReadingForm | None) -> HttpResponse:
    """The batch with its readings; with `form`, as refused, at its top."""
    sheet = queries.batch_sheet(shown)
    asked = "volume_ml" in request.GET
    thinning = ThinningForm(
        request.GET if asked else None,
        initial={"sg_now": None if sheet.latest_sg is None else f"{sheet.latest_sg:g}"},
    )
    cup = next((line.reading.cup for line in reversed(sheet.lines) if line.reading.cup), "")
    page = {
        "batch": shown,
        "sheet": sheet,
        "form": form or BatchReadingForm(initial={"taken_on": timezone.localdate(), "flow_cup": cup}),
        "thinning": thinning,
        "water_ml": thinning.water_ml() if asked and thinning.is_valid() else None,
        "sg_bound": SG_BOUND,
        "flow_bound": FLOW_BOUND_PCT,
        "temp_bound": TEMP_BOUND_C,
    }
    return render(request, "tiles/laydown/batch.html", page, status=422 if form else 200)
