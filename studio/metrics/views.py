"""The page that a monitoring system reads."""

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.utils.crypto import constant_time_compare
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe
from prometheus_client import CONTENT_TYPE_LATEST, REGISTRY, CollectorRegistry, generate_latest
from prometheus_client.multiprocess import MultiProcessCollector

from studio.metrics.queries import StudioFigures


@never_cache
@require_safe
def metrics(request: HttpRequest) -> HttpResponse:
    """Figures of all processes' requests, and of the studio; for whoever shows the key the studio was given."""
    if not settings.METRICS_KEY:
        raise Http404("This studio is not watched.")
    if not constant_time_compare(request.headers.get("Authorization", ""), f"Bearer {settings.METRICS_KEY}"):
        return HttpResponse("Show the key.\n", status=401, headers={"WWW-Authenticate": "Bearer"})
    studio = CollectorRegistry()
    studio.register(StudioFigures())
    return HttpResponse(
        generate_latest(_of_requests()) + generate_latest(studio), content_type=CONTENT_TYPE_LATEST
    )


def _of_requests() -> CollectorRegistry:
    """What all processes counted together; this one alone where it counts alone."""
    try:
        together = CollectorRegistry()
        MultiProcessCollector(together)
    except ValueError:  # no folder to count in together
        return REGISTRY
    return together
