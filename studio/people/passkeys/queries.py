"""Which passkeys there are."""

from django.db.models import Count, QuerySet

from studio.models import Passkey, Person
from studio.people.passkeys.ceremony import Known


def passkeys_of(person: Person) -> QuerySet[Passkey]:
    """A person's passkeys, the newest first."""
    return Passkey.objects.filter(person=person)


def any_lets_in() -> bool:
    """Whether anybody who may sign in has a passkey; until then the door need not speak of them."""
    return Passkey.objects.filter(person__is_active=True).exists()


def count_by_site() -> dict[str, int]:
    """How many passkeys of people who may sign in were made at each host name."""
    counted = Passkey.objects.filter(person__is_active=True).order_by("site").values_list("site")
    return dict(counted.annotate(Count("pk")))


def known(passkey: Passkey) -> Known:
    """What of a passkey a device's answer is held against."""
    return Known(
        credential_id=passkey.credential_id,
        transports=passkey.transports,
        public_key=bytes(passkey.public_key),
        sign_count=passkey.sign_count,
        person_handle=passkey.person_handle,
    )


def handle_of(person: Person) -> str:
    """By what devices tell this person already; nothing before their first passkey."""
    handles = Passkey.objects.filter(person=person).values_list("person_handle", flat=True)
    return handles.order_by("pk").first() or ""
