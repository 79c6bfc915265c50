"""Letting people in: roles, one-time links, invitations, passwords, and refusing someone who guesses."""

from dataclasses import dataclass
from datetime import timedelta

from django.contrib.auth.models import Group, Permission
from django.core.mail import send_mail
from django.db import transaction
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from firings.models import ChangedMeanwhile
from studio.models import Person, SignInLink, SignInTry
from studio.people.names import sign_in_name
from studio.people.queries import asked_for_password, role_of
from studio.people.tokens import mark_of, new_token
from studio.roles import Role, may
from studio.vocabulary import LinkPurpose

LINK_LIVES = {
    LinkPurpose.SIGN_IN: timedelta(minutes=30),
    LinkPurpose.INVITATION: timedelta(days=7),
    LinkPurpose.NEW_PASSWORD: timedelta(days=1),
}

TRY_WINDOW = timedelta(minutes=15)
# The eleventh try for one name is refused. One address may carry a whole studio, so it gets more.
TRIES_PER_NAME = 10
TRIES_PER_ADDRESS = 50


class LinkIsClosed(Exception):
    """A one-time link was used in the meantime, or its time ran out."""


class TooManyTries(Exception):
    """Someone tried to sign in too often for now."""


class NoKeeperLeft(Exception):
    """A change that would leave the studio without anyone who can run it."""


@transaction.atomic
def make_groups_true() -> None:
    """Give each role's group exactly the permissions the table in studio/roles.py grants."""
    held = list(Permission.objects.select_related("content_type"))
    for role in Role:
        group, _ = Group.objects.get_or_create(name=role.value)
        group.permissions.set(
            [one for one in held if may(role, f"{one.content_type.app_label}.{one.codename}")]
        )


@transaction.atomic
def make_link(person: Person, purpose: LinkPurpose, *, by: Person | None) -> str:
    """Make a one-time link for a person and return its token; earlier links of the same purpose close."""
    now = timezone.now()
    SignInLink.objects.filter(person=person, purpose=purpose.value, used_at=None).delete()
    token = new_token()
    SignInLink.objects.create(
        person=person,
        purpose=purpose.value,
        token_hash=mark_of(token),
        made_at=now,
        made_by=by,
        expires_at=now + LINK_LIVES[purpose],
    )
    return token


def withdraw_link(link: SignInLink) -> None:
    """Let a link open nothing any more.

    Raises
    ------
    LinkIsClosed : somebody came in by it meanwhile; when stays written down
    """
    gone, _ = SignInLink.objects.filter(pk=link.pk, used_at=None).delete()
    if not gone:
        raise LinkIsClosed


def use_link(link: SignInLink) -> None:
    """Close a link for the one who came in by it; of two who come at once, one gets LinkIsClosed."""
    now = timezone.now()
    if not SignInLink.objects.open_at(now).filter(pk=link.pk).update(used_at=now):
        raise LinkIsClosed


@transaction.atomic
def accept_invitation(link: SignInLink, *, name: str, username: str, password: str) -> Person:
    """Let an invited person in under the names and the password they chose."""
    use_link(link)
    person = link.person
    person.name, person.username = name, username
    person.set_password(password)
    person.save(update_fields=["name", "username", "password"])
    return person


@transaction.atomic
def choose_password_by_link(link: SignInLink, password: str) -> Person:
    """Give the person who came by a new-password link the password they chose."""
    use_link(link)
    return choose_password(link.person, password)


def send_new_password_link(said: str, address: str) -> bool:
    """Mail a new-password link to whoever signs in by this name or left this mail address; whether anybody was found.

    Someone who never came in gets none: their first link comes from a keeper. `address` is the studio's.
    """
    person = asked_for_password(said)
    if person is None:
        return False
    url = address + reverse("people:come_in", args=[make_link(person, LinkPurpose.NEW_PASSWORD, by=None)])
    words = render_to_string("studio/people/new_password.txt", {"person": person, "url": url})
    subject, _, body = words.partition("\n")
    send_mail(subject, body.strip() + "\n", None, [person.email])
    return True


def sign_out_elsewhere(person: Person) -> None:
    """End every session of a person's; the one who asks keeps theirs by `update_session_auth_hash`."""
    person.sessions_mark = new_token()[:32]
    person.save(update_fields=["sessions_mark"])


def choose_password(person: Person, password: str) -> Person:
    """Keep a new password; only its hash is stored."""
    person.set_password(password)
    person.save(update_fields=["password"])
    return person


@transaction.atomic
def add_person(name: str, role: Role) -> Person:
    """Add someone who can't sign in yet: an invitation link lets them choose a password."""
    taken = {username.lower() for username in Person.objects.values_list("username", flat=True)}
    person = Person(name=name, username=sign_in_name(name, taken))
    person.set_unusable_password()
    person.save()
    give_role(person, role)
    return person


def give_role(person: Person, role: Role) -> None:
    """Let a person do what this role may, and no more."""
    group, _ = Group.objects.get_or_create(name=role.value)
    person.groups.set([group])


@transaction.atomic
def change_person(person: Person, *, name: str, role: Role, may_sign_in: bool) -> None:
    """Change what a keeper decides about someone.

    Raises
    ------
    NoKeeperLeft : this was the last keeper who can sign in
    """
    others = (
        Person.objects.select_for_update().in_role(Role.KEEPER).filter(is_active=True).exclude(pk=person.pk)
    )
    if not (role is Role.KEEPER and may_sign_in) and not others:
        raise NoKeeperLeft
    person.name, person.is_active = name, may_sign_in
    person.save(update_fields=["name", "is_active"])
    give_role(person, role)


@dataclass(frozen=True, slots=True)
class Standing:
    """What a keeper decides about someone."""

    name: str
    role: Role
    may_sign_in: bool


def standing_of(person: Person) -> Standing:
    """How someone stands now."""
    return Standing(person.name, role_of(person) or Role.VIEWER, person.is_active)


@transaction.atomic
def put_person_back(person: Person, stood: Standing, left: Standing) -> None:
    """Let someone stand as they did before a change that left them standing as `left`.

    Raises
    ------
    ChangedMeanwhile : they stand otherwise by now
    NoKeeperLeft : this would leave the studio without a keeper
    """
    held = Person.objects.select_for_update().get(pk=person.pk)
    if standing_of(held) != left:
        raise ChangedMeanwhile
    change_person(held, name=stood.name, role=stood.role, may_sign_in=stood.may_sign_in)


@transaction.atomic
def first_keeper() -> Person:
    """The keeper who came first; in a studio that has none yet, one is made."""
    keepers = Person.objects.in_role(Role.KEEPER).filter(is_active=True)
    return keepers.order_by("pk").first() or add_person("Keeper", Role.KEEPER)


def count_try(username: str, address: str) -> None:
    """Count a try to sign in, before the password is looked at.

    The rows are written first and counted after, so that tries made at once can't all slip through.
    A refused try is not counted, so the wait ends even for someone who goes on trying.

    Raises
    ------
    TooManyTries : ten tries for this name, or fifty from this address, in the last quarter of an hour
    """
    now = timezone.now()
    SignInTry.objects.filter(tried_at__lt=now - TRY_WINDOW).delete()
    marks = _marks(username, address)
    made = SignInTry.objects.bulk_create(SignInTry(mark=mark, tried_at=now) for mark in marks)
    if any(SignInTry.objects.filter(mark=mark).count() > limit for mark, limit in marks.items()):
        SignInTry.objects.filter(pk__in=[one.pk for one in made]).delete()
        raise TooManyTries


def forget_tries(username: str, address: str) -> None:
    """Start counting anew for someone who got in."""
    SignInTry.objects.filter(mark__in=_marks(username, address)).delete()


def _marks(username: str, address: str) -> dict[str, int]:
    """What a try is counted under, and how many are let through."""
    return {
        mark_of(f"name {username.strip().lower()}"): TRIES_PER_NAME,
        mark_of(f"address {address}"): TRIES_PER_ADDRESS,
    }
