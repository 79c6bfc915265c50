"""A search's results as files, by the search's own address."""

import json
from collections.abc import Iterable, Iterator

from django.contrib.auth.decorators import login_required, permission_required
from django.core.serializers.json import DjangoJSONEncoder
from django.http import HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.views.decorators.http import require_safe

from firings.http import StudioRequest
from tiles.download.queries import problems_of, rows_in_order
from tiles.download.rows import Row, csv_lines
from tiles.search.queries import search

# A result without anything: its names are the columns, whatever is found.
COLUMNS = (
    *("result", "tile", "zone", "conditions", "stack", "coats_total", "coats_top"),
    *("body", "body_colour", "body_speckled", "form", "textured"),
    *("firing", "fired_on", "firing_of_this_tile", "kiln", "shelf", "place"),
    *("target_cone", "reached_cone", "reached_cone_number", "reached_by", "atmosphere", "hold_min"),
    *("judged_at", "surface", "opacity", "run_mm", "ran_off_the_foot", "pooling", "breaking", "gloss_60_gu"),
    *("colour_lab_d50_l", "colour_lab_d50_a", "colour_lab_d50_b", "colour_by"),
    *("flaws", "verdict", "remark", "layers", "series", "photo"),
)


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def as_csv(request: StudioRequest) -> HttpResponseBase:
    """Everything the address finds, a line a result."""
    asked = search(request.GET.urlencode())
    if problems := problems_of(asked):
        return HttpResponse("\n".join(problems), status=422, content_type="text/plain; charset=utf-8")
    # The mark at the beginning is how spreadsheets know that the letters are UTF-8.
    lines = _begun("\ufeff", csv_lines(COLUMNS, rows_in_order(asked)))
    answer = StreamingHttpResponse(lines, content_type="text/csv; charset=utf-8")
    answer.headers["Content-Disposition"] = 'attachment; filename="results.csv"'
    return answer


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def as_json(request: StudioRequest) -> HttpResponseBase:
    """Everything the address finds, as one list."""
    asked = search(request.GET.urlencode())
    if problems := problems_of(asked):
        return HttpResponse(json.dumps({"problems": problems}), status=422, content_type="application/json")
    return StreamingHttpResponse(_json(rows_in_order(asked)), content_type="application/json")


def _begun(first: str, lines: Iterable[str]) -> Iterator[str]:
    yield first
    yield from lines


def _json(rows: Iterable[Row]) -> Iterator[str]:
    yield '{"results": ['
    between = "\n"
    for row in rows:
        yield between + json.dumps(row, cls=DjangoJSONEncoder, ensure_ascii=False)
        between = ",\n"
    yield "\n]}\n"
