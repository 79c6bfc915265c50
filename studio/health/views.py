"""The page that machines ask."""

from django.http import HttpRequest, JsonResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from studio.health.queries import health, work


@never_cache
@require_safe
def healthz(request: HttpRequest) -> JsonResponse:
    """Answer 200 when database and photo store work, else 503 with the part that does not.

    Whether somebody does the work that waits is told too; without, pages are served all the same.
    """
    parts = health()
    return JsonResponse({**parts, "work": work()}, status=200 if set(parts.values()) == {"ok"} else 503)
