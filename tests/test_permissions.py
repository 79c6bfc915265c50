"""Every address × every role, found from the site map: a page added later is swept without a change here."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from django.urls import URLResolver, get_resolver, reverse

from studio.models import Person

pytestmark = pytest.mark.django_db

# Open without signing in. Whoever adds one here has decided that the whole network may read it.
OPEN_TO_ALL = {
    "metrics:metrics",  # not there without a key, and asks for it
    "people:forgotten",  # who forgot their password cannot sign in; answers the same whoever is meant
    "people:come_in_here",  # only from the studio's own machine, where the studio chose to ask for no passwords
    "health:healthz",
    "health:icon",
    "people:sign_in",
    "people:come_in",
    "people:sign_out",
    "people:passkeys:ask_to_sign",  # a question that says nothing; the answer is checked as a password is
    "people:passkeys:come_in",
    "offline:keeper",
    "tiles:public:page",  # what a keeper made public, under an address nobody guesses
    "tiles:public:photo",  # its photos, each under a seal
}

# What everyone who is signed in may do, role or not: it concerns only themselves.
ONES_OWN = {
    "people:account",
    "people:password",
    "people:sign_out_elsewhere",
    "people:passkeys:list",
    "people:passkeys:ask_to_make",
    "people:passkeys:keep",
    "people:passkeys:rename",
    "people:passkeys:remove",
    "people:passkeys:put_back",
    "api:keys",
    "api:take_back",
}

# Read with a key instead of by signing in: no session opens them, and no key changes anything (tests/studio/api).
FOR_PROGRAMS = "api-1:"

# Only a keeper opens these.
KEEPERS = ("people:", "preferences:", "work:", "backup:", "export:", "tiles:public:")

# Writing that a viewer may do.
VIEWERS_MAY_POST = {
    # a print tray, and what is left of one's sheet of labels, are one's own
    "tiles:prints:add_to_tray",
    "tiles:prints:chosen_to_tray",
    "tiles:prints:out_of_tray",
    "tiles:prints:back_to_tray",
    "tiles:prints:move_in_tray",
    "tiles:prints:choose_in_tray",
    "tiles:prints:empty_tray",
    "tiles:prints:refill_tray",
    "tiles:prints:print_tray",
    "tiles:prints:used_sheet",
    "tiles:together:to_tray",
}

EXAMPLES = ("999999", "none", "0" * 64, "00000000-0000-4000-8000-000000000000", "0-0-5000-5000")


@dataclass(frozen=True)
class Address:
    """One entry of the site map, with examples in its places."""

    name: str
    path: str


def addresses() -> list[Address]:
    """Every entry of the site map, those without a name under what stands in its place."""
    found = []
    for entries in _ways(get_resolver()):
        route = "/" + "".join(str(one.pattern) for one in entries)
        kinds = {place: kind for one in entries for place, kind in one.pattern.converters.items()}
        path = re.sub(r"<(?:\w+:)?(\w+)>", lambda place, kinds=kinds: _example(kinds[place[1]].regex), route)
        spaces = [one.namespace for one in entries[:-1] if one.namespace]
        found.append(Address(":".join([*spaces, entries[-1].name or route]), path))
    return found


def _example(regex: str) -> str:
    """Something that may stand in a place of an address, and that no record has."""
    return next(one for one in (*EXAMPLES, *regex.split("|")) if re.fullmatch(regex, one))


def _ways(resolver: URLResolver) -> Iterator[list[Any]]:
    """Each way through the site map: the entries passed, the page last."""
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver):
            yield from ([entry, *way] for way in _ways(entry))
        else:
            yield [entry]


SITE_MAP = addresses()
CLOSED = [one for one in SITE_MAP if one.name not in OPEN_TO_ALL]
ROLE_NEEDED = [one for one in CLOSED if one.name not in ONES_OWN]


def by_name(address: Address) -> str:
    return address.name


def signed_in(person: Person) -> Client:
    client = Client(raise_request_exception=False)
    client.force_login(person)
    return client


@pytest.mark.parametrize("address", CLOSED, ids=by_name)
@pytest.mark.parametrize("method", ["get", "post"])
def test_who_is_not_signed_in_is_sent_to_the_door(client: Client, address, method):
    answer = getattr(client, method)(address.path)

    if address.name.startswith(FOR_PROGRAMS):
        assert answer.status_code in (401, 404, 405)
    elif answer.status_code != 405:
        assert answer.status_code == 302
        assert answer.headers["Location"].startswith(reverse(settings.LOGIN_URL) + "?next=")


@pytest.mark.parametrize("address", ROLE_NEEDED, ids=by_name)
@pytest.mark.parametrize("method", ["get", "post"])
def test_who_holds_no_role_opens_nothing(stranger: Person, address, method):
    answer = getattr(signed_in(stranger), method)(address.path)

    assert answer.status_code in ((401, 404, 405) if address.name.startswith(FOR_PROGRAMS) else (403, 405))


@pytest.mark.parametrize("address", ROLE_NEEDED, ids=by_name)
def test_a_viewer_changes_nothing(viewer: Person, address):
    answer = signed_in(viewer).post(address.path)

    if address.name not in VIEWERS_MAY_POST and not address.name.startswith(FOR_PROGRAMS):
        assert answer.status_code in (403, 405)


@pytest.mark.parametrize("address", [one for one in ROLE_NEEDED if one.name.startswith(KEEPERS)], ids=by_name)
@pytest.mark.parametrize("role", ["viewer", "recorder"])
def test_only_a_keeper_runs_the_studio(request, role, address):
    client = signed_in(request.getfixturevalue(role))

    assert client.get(address.path).status_code in (403, 405)
    assert client.post(address.path).status_code in (403, 405)


@pytest.mark.parametrize("address", SITE_MAP, ids=by_name)
@pytest.mark.parametrize("role", ["stranger", "viewer", "recorder", "keeper"])
def test_no_page_breaks_for_anyone(request, role, address):
    client = signed_in(request.getfixturevalue(role))

    assert client.get(address.path).status_code < 500
    assert client.post(address.path).status_code < 500


@pytest.mark.parametrize("address", CLOSED, ids=by_name)
def test_a_post_from_another_site_is_refused(keeper: Person, address):
    client = Client(enforce_csrf_checks=True)
    client.force_login(keeper)

    assert client.post(address.path).status_code in (403, 405)
