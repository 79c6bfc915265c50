"""What every request carries."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils.functional import SimpleLazyObject

from studio.queries import preferences_now


def preferences_on_request(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Hang the studio's preferences on the request; they are read, by one query, only when asked for."""

    def with_preferences(request: HttpRequest) -> HttpResponse:
        request.preferences = SimpleLazyObject(preferences_now)  # type: ignore[attr-defined]
        return get_response(request)

    return with_preferences
