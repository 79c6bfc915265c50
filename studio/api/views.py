"""The read API, its documents, and a person's keys."""

from typing import Any
from urllib.parse import urlencode

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import conditional_page, require_http_methods, require_POST, require_safe
from ninja import NinjaAPI, Path, Query
from ninja.decorators import decorate_view
from ninja.errors import HttpError, ValidationError
from ninja.throttling import AuthRateThrottle

from firings.http import StudioRequest, say, typed_in
from studio.api import http, queries, services
from studio.api.forms import KeyForm
from studio.models import AccessKey

# Ten a second for a minute: more than a program that reads a studio needs, less than one that holds it up.
RATE = "600/m"
MOST_AT_ONCE, USUAL_AT_ONCE = 500, 100
FURTHEST = 10_000_000
HIGHEST_KEY = 2**53 - 1

api = NinjaAPI(
    title="Tilewright",
    version="1",
    description="A studio’s fired results, read by other programs. Nothing can be changed here.",
    urls_namespace="api-1",
    auth=http.ByKey(),
    throttle=AuthRateThrottle(RATE),
    docs_url=None,
    openapi_url=None,
)


@api.exception_handler(queries.Unreadable)
def unreadable(request: HttpRequest, trouble: queries.Unreadable) -> HttpResponse:
    """Say what could not be read instead of leaving it out: a program does not see what was left out."""
    return api.create_response(request, {"problems": trouble.problems}, status=422)


@api.exception_handler(ValidationError)
def not_as_documented(request: HttpRequest, trouble: ValidationError) -> HttpResponse:
    """A number out of bounds, or none where one is needed: which parameter, and what is wrong with it."""
    problems = [f"{one['loc'][-1]}: {one['msg']}." for one in trouble.errors]
    return api.create_response(request, {"problems": problems}, status=422)


WRONG = {401: http.Problem, 403: http.Problem, 422: http.Problems, 429: http.Problem}
Limit = Query(USUAL_AT_ONCE, ge=1, le=MOST_AT_ONCE, description="How many at once.")


def _may(request: HttpRequest, permission: str) -> None:
    if not request.user.has_perm(permission):
        raise HttpError(403, "The person of this key may not see that.")


@api.get("/results", response={200: http.Results, **WRONG}, openapi_extra=http.filters())
@decorate_view(conditional_page)
def results(request: HttpRequest, offset: int = Query(0, ge=0, le=FURTHEST), limit: int = Limit) -> Any:
    """Fired results by any of their conditions: the filters and the order are those of the results page."""
    _may(request, "tiles.view_outcome")
    asked = QueryDict(request.GET.urlencode(), mutable=True)
    for name in ("offset", "limit"):
        asked.pop(name, None)
    total, rows = queries.results_page(asked.urlencode(), offset, limit)
    following = None
    if offset + limit < total:
        asked["offset"], asked["limit"] = str(offset + limit), str(limit)
        following = f"{request.path}?{asked.urlencode()}"
    return {"total": total, "next": following, "results": rows}


@api.get("/results/{key}", response={200: http.Result, **WRONG, 404: http.Problem})
@decorate_view(conditional_page)
def result(request: HttpRequest, key: int = Path(..., ge=1, le=HIGHEST_KEY)) -> Any:
    """One result by its key."""
    _may(request, "tiles.view_outcome")
    return _found(queries.one_result(key), "There is no such result.")


@api.get("/tiles", response={200: http.Tiles, **WRONG})
@decorate_view(conditional_page)
def tiles(request: HttpRequest, after: int = Query(0, ge=0, le=FURTHEST), limit: int = Limit) -> Any:
    """Tiles in the order of their numbers, check digits left off in `after`."""
    _may(request, "tiles.view_tile")
    rows = queries.tiles_page(after, limit)
    last = rows[-1]["number"].partition("-")[0] if len(rows) == limit else None
    return {"next": _next(request, after=last, limit=limit), "tiles": rows}


@api.get("/tiles/{label}", response={200: http.TileWithResults, **WRONG, 404: http.Problem})
@decorate_view(conditional_page)
def tile(request: HttpRequest, label: str) -> Any:
    """One tile by its number with the check digit, such as 1042-9, and its results."""
    _may(request, "tiles.view_tile")
    return _found(queries.one_tile(label), "There is no tile of that number.")


@api.get("/glazes", response={200: http.Glazes, **WRONG})
@decorate_view(conditional_page)
def glazes(request: HttpRequest) -> Any:
    """The catalogue's glazes; `glaze` is what the results' filters call them by."""
    _may(request, "tiles.view_glaze")
    return {"glazes": queries.glaze_rows()}


@api.get("/bodies", response={200: http.Bodies, **WRONG})
@decorate_view(conditional_page)
def bodies(request: HttpRequest) -> Any:
    """The catalogue's clay bodies; `body` is what the results' filters call them by."""
    _may(request, "tiles.view_claybody")
    return {"bodies": queries.body_rows()}


@api.get("/firings", response={200: http.Firings, **WRONG})
@decorate_view(conditional_page)
def firings(
    request: HttpRequest, before: int = Query(FURTHEST, ge=1, le=FURTHEST), limit: int = Limit
) -> Any:
    """Firings, the newest first, without what they cost."""
    _may(request, "firings.view_firing")
    rows = queries.firings_page(before, limit)
    last = str(int(rows[-1]["number"].partition("-")[2])) if len(rows) == limit else None
    return {"next": _next(request, before=last, limit=limit), "firings": rows}


def _found(row: queries.Row | None, words: str) -> queries.Row:
    if row is None:
        raise HttpError(404, words)
    return row


def _next(request: HttpRequest, **said: object) -> str | None:
    return None if None in said.values() else f"{request.path}?{urlencode(said)}"


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def openapi(request: StudioRequest) -> HttpResponse:
    """The OpenAPI document."""
    return api.create_response(request, api.get_openapi_schema(path_prefix="/api/1/"), status=200)


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def documents(request: StudioRequest) -> HttpResponse:
    """The same document as a page to read."""
    schema = api.get_openapi_schema(path_prefix="/api/1/")
    operations = [
        {"path": path, **operation}
        for path, methods in schema["paths"].items()
        for operation in methods.values()
    ]
    return render(
        request, "studio/api/documents.html", {"operations": operations, "rate": RATE.partition("/")[0]}
    )


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def keys(request: StudioRequest) -> HttpResponse:
    """One's own keys, and a new one: told this once."""
    form = KeyForm(typed_in(request))
    made = ""
    if request.method == "POST" and form.is_valid():
        try:
            made = services.make_key(request.user, form.cleaned_data["name"])
        except services.TooManyKeys as trouble:
            form.add_error("name", str(trouble))
        else:
            form = KeyForm()
    page = {"form": form, "made": made, "keys": queries.keys_of(request.user)}
    answer = render(request, "studio/api/keys.html", page, status=422 if form.is_bound else 200)
    answer["Cache-Control"] = "no-store"
    return answer


@require_POST
@login_required
def take_back(request: StudioRequest, pk: int) -> HttpResponse:
    """End one of one's own keys; a keeper may end anybody's."""
    mine = (
        AccessKey.objects.all()
        if request.user.has_perm("studio.delete_accesskey")
        else queries.keys_of(request.user)
    )
    key = get_object_or_404(mine, pk=pk)
    services.take_back(key)
    say(request, f"The key for {key} is taken back. A program that still shows it is turned away.")
    return redirect("api:keys")
