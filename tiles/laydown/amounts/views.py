"""The page of amounts; its address holds all that was asked."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from firings.http import StudioRequest
from firings.units import read_key
from tiles.laydown.amounts import queries
from tiles.laydown.amounts.forms import BucketForm, TilesForm
from tiles.laydown.forms import ThinningForm
from tiles.models import Series

WASTE_PCT = 20.0


@require_safe
@login_required
@permission_required("tiles.view_glaze", raise_exception=True)
def amounts(request: StudioRequest) -> HttpResponse:
    """How much glaze: for tiles, for a series, for a bucket, and water to thin it."""
    asked = request.GET
    tiles = TilesForm(asked if "coats" in asked else None, initial={"glaze": asked.get("glaze")})
    bucket = BucketForm(asked if "sg_wanted" in asked and "sg_now" not in asked else None, auto_id="mix_%s")
    thinning = ThinningForm(asked if "sg_now" in asked else None, auto_id="thin_%s")
    page = {
        "tiles": tiles,
        "bucket": bucket,
        "thinning": thinning,
        "for_tiles": _for_tiles(tiles) if tiles.is_bound and tiles.is_valid() else None,
        "mixed": bucket.slop() if bucket.is_bound and bucket.is_valid() else None,
        "water_ml": thinning.water_ml() if thinning.is_bound and thinning.is_valid() else None,
        "series": _series(asked.get("series", "")),
        "waste_pct": WASTE_PCT,
    }
    wrong = any(form.is_bound and form.errors for form in (tiles, bucket, thinning))
    return render(request, "tiles/laydown/amounts/amounts.html", page, status=422 if wrong else 200)


def _for_tiles(form: TilesForm) -> dict[str, object]:
    glaze = form.cleaned_data["glaze"]
    here = queries.known([glaze.pk] if glaze else [])
    key = glaze.pk if glaze else 0
    (coat_g, coat_from), (gravity, gravity_from) = here.coat(key), here.gravity(key)
    if form.cleaned_data["sg"]:
        gravity, gravity_from = float(form.cleaned_data["sg"]), "as you wrote it"
    return {
        "slop": form.slop(coat_g, gravity),
        "area_cm2": form.area(),
        "coat_mg": coat_g * 1000,
        "coat_from": coat_from,
        "gravity": gravity,
        "gravity_from": gravity_from,
    }


def _series(asked: str) -> queries.SeriesAmounts | None:
    key = read_key(asked)
    return queries.series_amounts(get_object_or_404(Series, pk=key), WASTE_PCT) if key else None
