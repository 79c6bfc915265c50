"""Give a person a key, and take it away."""

from django.db import transaction
from django.utils import timezone

from studio.models import AccessKey, Person
from studio.people.tokens import mark_of, new_token

# So much of a key is kept to tell it from others.
SHOWN = 6
MOST_KEYS = 20


class TooManyKeys(Exception):
    """A person holds as many keys as one can keep apart; the words are fit for a message."""


@transaction.atomic
def make_key(person: Person, name: str) -> str:
    """A new key for a person; it is told this once and never again. Raises TooManyKeys."""
    if AccessKey.objects.filter(person=person).count() >= MOST_KEYS:
        raise TooManyKeys(f"You have {MOST_KEYS} keys. Take back one that is not used any more.")
    key = new_token()
    AccessKey.objects.create(person=person, name=name, key_hash=mark_of(key), begins=key[:SHOWN])
    return key


@transaction.atomic
def take_back(key: AccessKey) -> None:
    """End a key: whoever shows it from now on is turned away."""
    key.delete()


def note_use(key: AccessKey) -> None:
    """Keep on which day a key was last used; once a day, so that reading does not become writing."""
    today = timezone.localdate()
    if key.used_on != today:
        AccessKey.objects.filter(pk=key.pk).update(used_on=today)
