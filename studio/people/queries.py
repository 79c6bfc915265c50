"""What the pages about people ask."""

from django.db.models import Q
from django.utils import timezone

from studio.models import Person, SignInLink
from studio.people.tokens import mark_of
from studio.roles import Role


def open_link(token: str) -> SignInLink | None:
    """The one-time link this token opens, while it still does."""
    links = SignInLink.objects.open_at(timezone.now()).select_related("person")
    return links.filter(token_hash=mark_of(token)).first()


def open_links() -> list[SignInLink]:
    """Every link that still lets somebody in, the one that runs out first on top."""
    links = SignInLink.objects.open_at(timezone.now()).select_related("person", "made_by")
    return list(links.order_by("expires_at"))


def asked_for_password(said: str) -> Person | None:
    """Who forgot their password, by sign-in name or mail address, if a mail reaches them; None when it fits two."""
    named = Q(username__iexact=said.strip()) | Q(email__iexact=said.strip())
    found = Person.objects.filter(named, is_active=True).exclude(email="")
    reached = [person for person in found if person.has_usable_password()]
    return reached[0] if len(reached) == 1 else None


def may_come_in_without_password() -> list[Person]:
    """Everyone who may sign in, for the door of a studio without passwords."""
    return list(Person.objects.by_name().filter(is_active=True))


def role_of(person: Person) -> Role | None:
    """The role a person holds; None for someone who holds none."""
    held = {group.name for group in person.groups.all()}
    return next((role for role in reversed(Role) if role.value in held), None)
