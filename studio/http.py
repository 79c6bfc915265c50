"""The request the studio's own views are given, and how the files its pages load are named."""

from collections.abc import Iterator
from ipaddress import ip_address
from typing import Any

from django.http import HttpRequest
from whitenoise.storage import CompressedManifestStaticFilesStorage

from firings.http import StudioRequest
from studio.models import Person


class PersonRequest(StudioRequest):
    """A request of someone who is signed in."""

    user: Person


def client_address(request: HttpRequest, behind_proxy: bool) -> str:
    """Where a request came from. Behind a proxy of ours it is what that proxy, the last one, wrote down."""
    forwarded = request.headers.get("X-Forwarded-For", "") if behind_proxy else ""
    return forwarded.rpartition(",")[2].strip() or request.META.get("REMOTE_ADDR", "")


# What proxies add; one on this machine makes everybody's request look as if it came from here.
BY_PROXY = ("Forwarded", "Via", "X-Forwarded-For", "X-Real-Ip")


def is_from_this_machine(request: HttpRequest) -> bool:
    """Whether the browser runs on the machine that serves, with no proxy in between."""
    came_from = request.META.get("REMOTE_ADDR", "")
    try:
        here = ip_address(came_from).is_loopback
    except ValueError:
        return False
    return here and not any(name in request.headers for name in BY_PROXY)


class NamedByContent(CompressedManifestStaticFilesStorage):
    """Static files named by their content, scripts that import one another included.

    A browser may keep such a file for ever; after an upgrade it asks for another name.
    """

    support_js_module_import_aggregation = True

    def post_process(self, paths: dict[str, Any], dry_run: bool = False, **options: Any) -> Iterator[Any]:
        """Name all but the extensions that ship with htmx: we load none, and they import what is not there."""
        ours = {name: found for name, found in paths.items() if not name.startswith("django_htmx/ext/")}
        yield from super().post_process(ours, dry_run, **options)
