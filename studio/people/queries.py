"""What the pages about people ask."""

from django.utils import timezone

from studio.models import Person, SignInLink
from studio.people.tokens import mark_of
from studio.roles import Role


def open_link(token: str) -> SignInLink | None:
    """The one-time link this token opens, while it still does."""
    links = SignInLink.objects.open_at(timezone.now()).select_related("person")
    return links.filter(token_hash=mark_of(token)).first()


def role_of(person: Person) -> Role | None:
    """The role a person holds; None for someone who holds none."""
    held = {group.name for group in person.groups.all()}
    return next((role for role in reversed(Role) if role.value in held), None)
