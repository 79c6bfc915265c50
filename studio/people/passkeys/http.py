"""What a browser was asked, and which passkey it removed: kept in its session, once and for minutes."""

import secrets
import time
from typing import Any

from django.contrib.sessions.backends.base import UpdateError
from django.http import HttpRequest
from webauthn.helpers import bytes_to_base64url

from studio.http import PersonRequest
from studio.people.http import LATELY
from studio.people.passkeys.ceremony import ANSWERED_WITHIN_S
from studio.people.passkeys.place import Place, by_name, place_of

ASKED = "passkey_asked"
REMOVED = "passkeys_removed"
CHALLENGE_BYTES = 32


def place_here(request: HttpRequest) -> Place | None:
    """The place this page was opened at: only hosts we serve get here, and the scheme is the proxy's word for it."""
    return place_of(request.build_absolute_uri("/"))


def where(request: HttpRequest) -> dict[str, Any]:
    """What a page says of where passkeys work: here, or at this machine by another name."""
    return {"place": place_here(request), "by_name": by_name(request.build_absolute_uri(request.path))}


def ask(request: HttpRequest, purpose: str, **more: str) -> str:
    """A new challenge for this browser; the one before opens nothing any more."""
    challenge = bytes_to_base64url(secrets.token_bytes(CHALLENGE_BYTES))
    request.session[ASKED] = {"purpose": purpose, "challenge": challenge, "at": time.time(), **more}
    if not request.user.is_authenticated:
        # Until they are in, nothing of theirs need be kept longer than the question.
        request.session.set_expiry(ANSWERED_WITHIN_S)
    return challenge


def asked(request: HttpRequest, purpose: str) -> dict[str, Any] | None:
    """What this browser was asked for this purpose not long ago; it is forgotten at once, whatever comes of it."""
    found = request.session.pop(ASKED, None)
    if found is None:
        return None
    # Now and not after the answer: a request that breaks keeps no session.
    try:
        request.session.save()
    except UpdateError:
        # Another answer came in between and ended this session: there is nothing left to write into.
        request.session.modified = False
        return None
    is_in_time = 0 <= time.time() - found["at"] <= ANSWERED_WITHIN_S
    return found if is_in_time and found["purpose"] == purpose else None


def note_removed(request: PersonRequest, pk: int, taken: str) -> None:
    """Keep what brings a removed passkey back, in this browser alone; a key is public, so it may lie there."""
    note = {"taken": taken, "at": time.time(), "as_of": request.user.get_session_auth_hash()}
    request.session[REMOVED] = {**_removed_lately(request), str(pk): note}


def take_removed(request: PersonRequest, pk: int) -> str | None:
    """What brings that passkey back, once. Nothing after minutes, nor after a new password or signing out elsewhere.

    Whoever does one of those may have lost the device: an Undo that is left open must not let it in again.
    """
    removed = _removed_lately(request)
    note = removed.pop(str(pk), None)
    request.session[REMOVED] = removed
    return note and note["taken"]


def _removed_lately(request: PersonRequest) -> dict[str, Any]:
    """What of this browser's removed passkeys may still be put back."""
    stands, now = request.user.get_session_auth_hash(), time.time()
    return {
        pk: note
        for pk, note in request.session.get(REMOVED, {}).items()
        if note["as_of"] == stands and 0 <= now - note["at"] <= LATELY.total_seconds()
    }
