"""Keep a passkey, believe one, and take one away."""

from typing import cast

from django.core import serializers
from django.db import IntegrityError, transaction
from django.utils import timezone

from studio.models import Passkey, Person
from studio.people.passkeys.ceremony import Known, NotTrue, Signed
from studio.people.passkeys.place import Place
from studio.people.passkeys.queries import known
from studio.people.services import sign_out_elsewhere

MOST_PASSKEYS = 20


class TooManyPasskeys(Exception):
    """A person has as many passkeys as one can keep apart; the words are fit for a message."""


def make_room(person: Person) -> None:
    """Refuse one passkey more than a list shows well. Raises TooManyPasskeys."""
    if Passkey.objects.filter(person=person).count() >= MOST_PASSKEYS:
        raise TooManyPasskeys(f"You have {MOST_PASSKEYS} passkeys. Remove one that is not used any more.")


@transaction.atomic
def keep_passkey(person: Person, made: Known, *, name: str, handle: str, place: Place) -> Passkey:
    """Keep what a person's device made.

    Raises
    ------
    NotTrue : a passkey of that name is kept already, this person's or another's
    TooManyPasskeys : the person has enough
    """
    make_room(person)
    try:
        with transaction.atomic():
            return Passkey.objects.create(
                person=person,
                name=name,
                credential_id=made.credential_id,
                public_key=made.public_key,
                sign_count=made.sign_count,
                person_handle=handle,
                site=place.site,
                transports=list(made.transports),
            )
    except IntegrityError as taken:
        raise NotTrue("kept already") from taken


@transaction.atomic
def person_who_signed(signed: Signed, place: Place, challenge: str) -> Person:
    """Who is there by what their device signed; its count and the moment are kept.

    The row is held meanwhile, so that of two answers with the same count one is refused.

    Raises
    ------
    NotTrue : nobody has that passkey here, they may not sign in any more, or what was signed does not hold
    """
    held = Passkey.objects.select_for_update(of=("self",)).select_related("person")
    found = held.filter(credential_id=signed.credential_id, site=place.site, person__is_active=True).first()
    if found is None:
        raise NotTrue("nobody has it")
    found.sign_count = signed.believed(known(found), place, challenge)
    found.used_at = timezone.now()
    found.save(update_fields=["sign_count", "used_at"])
    return found.person


def rename_passkey(passkey: Passkey, name: str) -> None:
    """Call a passkey otherwise."""
    passkey.name = name
    passkey.save(update_fields=["name"])


@transaction.atomic
def remove_passkey(passkey: Passkey) -> str:
    """Take a passkey away; returned is what `put_back` makes it from again."""
    taken = serializers.serialize("json", [passkey])
    passkey.delete()
    return taken


@transaction.atomic
def put_back(person: Person, taken: str) -> Passkey:
    """Let a person's passkey that `remove_passkey` took away sign them in again.

    Raises
    ------
    NotTrue : it is kept already
    TooManyPasskeys : the person has enough by now
    """
    make_room(person)
    passkey = cast(Passkey, next(serializers.deserialize("json", taken)).object)
    try:
        with transaction.atomic():
            passkey.save(force_insert=True)
    except IntegrityError as there:
        raise NotTrue("kept already") from there
    return passkey


@transaction.atomic
def remove_lost_passkey(passkey: Passkey) -> Person:
    """Take a passkey away that others may hold by now, and end its person's sessions, of which it may hold one."""
    person = passkey.person
    passkey.delete()
    sign_out_elsewhere(person)
    return person
