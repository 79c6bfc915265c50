"""How a session begins and where it leads; how someone stood before a change, sealed in the address that undoes it."""

import time
from dataclasses import astuple
from datetime import timedelta
from urllib.parse import urlsplit

from django.conf import settings
from django.contrib.auth import login
from django.core import signing
from django.http import HttpRequest
from django.shortcuts import resolve_url
from django.urls import Resolver404, resolve

from firings.http import is_within
from studio.models import Person
from studio.people.services import Standing
from studio.roles import Role

SALT = "how someone stood"

# Who comes in by a link or a passkey has shown no password, so we name the door ourselves.
BY_LINK = "studio.people.rights.queries.Rights"
TOO_MANY_TRIES = "Too many tries. Wait 15 minutes, or ask the studio’s keeper for a sign-in link."

CAME_IN_AT = "came_in_at"
# Who came in so lately needs not show again who they are before they add another way in.
LATELY = timedelta(minutes=10)

# What a tile's label opens, by whichever address.
OF_A_LABEL = {"short", "short_in_small_letters", "tiles:recording:tile"}


def let_in(
    request: HttpRequest, person: Person, *, backend: str | None = None, has_shown: bool = True
) -> None:
    """Begin a person's session in this browser; `has_shown` says whether they showed that it is them."""
    login(request, person, backend=backend)
    # A question for a passkey, left unanswered, may have shortened it.
    request.session.set_expiry(None)
    if has_shown:
        request.session[CAME_IN_AT] = time.time()


def came_in_lately(request: HttpRequest) -> bool:
    """Whether whoever sits at this browser showed a few minutes ago who they are."""
    return 0 <= time.time() - request.session.get(CAME_IN_AT, 0) <= LATELY.total_seconds()


def after_sign_in(request: HttpRequest) -> str:
    """Where someone wanted to go, if that is a page of ours; else the first page."""
    wanted = request.POST.get("next", request.GET.get("next", ""))
    return wanted if is_within(request, wanted) else resolve_url(settings.LOGIN_REDIRECT_URL)


def comes_from_a_label(request: HttpRequest) -> bool:
    """Whether someone wanted to see a tile, by the address alone: the door tells nobody which tiles there are."""
    try:
        return resolve(urlsplit(after_sign_in(request)).path).view_name in OF_A_LABEL
    except Resolver404:
        return False


def sealed(stood: Standing, left: Standing) -> str:
    """Both as one word of an address."""
    return signing.dumps([astuple(stood), astuple(left)], salt=SALT)


def unsealed(token: str) -> tuple[Standing, Standing]:
    """Both again.

    Raises
    ------
    ValueError : it was not written by `sealed`
    """
    try:
        stood, left = signing.loads(token, salt=SALT)
    except signing.BadSignature as wrong:
        raise ValueError(token) from wrong
    return _read(stood), _read(left)


def _read(written: list[object]) -> Standing:
    name, role, may_sign_in = written
    return Standing(str(name), Role(str(role)), bool(may_sign_in))
