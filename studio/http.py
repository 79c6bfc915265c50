"""The request the studio's own views are given."""

from django.http import HttpRequest

from firings.http import StudioRequest
from studio.models import Person


class PersonRequest(StudioRequest):
    """A request of someone who is signed in."""

    user: Person


def client_address(request: HttpRequest, behind_proxy: bool) -> str:
    """Where a request came from. Behind a proxy of ours it is what that proxy, the last one, wrote down."""
    forwarded = request.headers.get("X-Forwarded-For", "") if behind_proxy else ""
    return forwarded.rpartition(",")[2].strip() or request.META.get("REMOTE_ADDR", "")
