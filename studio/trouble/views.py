"""The page that stands where another one failed."""

import sys

from django.db import Error
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from studio.trouble import signs

# After so many seconds a browser or a queue may try again by itself [s].
TRY_AGAIN_S = "5"


def broken(request: HttpRequest) -> HttpResponse:
    """Answer for a page that raised; the framework calls this while what was raised is at hand."""
    trouble = _trouble(sys.exc_info()[1])
    answer = render(request, "500.html", {"trouble": trouble}, status=trouble.status)
    if trouble.may_pass:
        answer.headers["Retry-After"] = TRY_AGAIN_S
    return answer


def _trouble(raised: BaseException | None) -> signs.Trouble:
    if isinstance(raised, Error):
        return signs.of_the_database(str(raised))
    if isinstance(raised, OSError):
        return signs.of_the_system(raised.errno)
    return signs.BROKEN
