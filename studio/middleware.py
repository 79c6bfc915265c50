"""What every request carries."""

import logging
import time
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils.functional import SimpleLazyObject

from studio.logs import marks
from studio.queries import preferences_now

log = logging.getLogger("tilewright.requests")


def request_in_log(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Log each request when it is answered: the page's name, never its address, which may hold a secret link."""

    def logged(request: HttpRequest) -> HttpResponse:
        began = time.perf_counter()
        mark = marks.begin(request.headers.get("X-Request-ID", ""))
        answer = get_response(request)
        answer.headers["X-Request-ID"] = mark
        if log.isEnabledFor(logging.INFO):
            facts = _facts(request, answer, time.perf_counter() - began)
            log.info("%(method)s %(page)s %(status)s in %(took_ms)s ms", facts, extra=facts)
        return answer

    return logged


def _facts(request: HttpRequest, answer: HttpResponse, took_s: float) -> dict[str, object]:
    found = request.resolver_match
    return {
        "method": request.method,
        "page": found.view_name or found.route if found else "nowhere",
        "status": answer.status_code,
        "took_ms": round(took_s * 1000, 1),
        "person": request.session.get("_auth_user_id", "") if hasattr(request, "session") else "",
    }


def preferences_on_request(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Hang the studio's preferences on the request; they are read, by one query, only when asked for."""

    def with_preferences(request: HttpRequest) -> HttpResponse:
        request.preferences = SimpleLazyObject(preferences_now)  # type: ignore[attr-defined]
        return get_response(request)

    return with_preferences
