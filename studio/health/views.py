"""The pages that machines ask for."""

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.templatetags.static import static
from django.views.decorators.cache import cache_control, never_cache
from django.views.decorators.http import require_safe

from studio.health.queries import health, work

A_DAY_S = 24 * 60 * 60


@never_cache
@require_safe
def healthz(request: HttpRequest) -> JsonResponse:
    """Answer 200 when database and photo store work, else 503 with the part that does not.

    Whether somebody does the work that waits is told too; without, pages are served all the same.
    """
    parts = health()
    return JsonResponse({**parts, "work": work()}, status=200 if set(parts.values()) == {"ok"} else 503)


@cache_control(public=True, max_age=A_DAY_S)
@require_safe
def icon(request: HttpRequest) -> HttpResponse:
    """Lead to the icon; browsers ask for it here where a page names none, as for a picture opened by itself."""
    return redirect(static("icons/mark.svg"))
