"""What a person may do, in one question where the framework asks two."""

from typing import Any

from django.contrib.auth.models import Group, Permission
from django.db.models import Q
from django.http import HttpRequest

from firings.rows.queries import Prepared
from studio.models import Person

_RIGHTS = Prepared(
    lambda among: (
        Permission.objects.filter(
            Q(pk__in=Person.user_permissions.through.objects.filter(among("person_id")).values("permission"))
            | Q(pk__in=Group.permissions.through.objects.filter(among("group__user")).values("permission"))
        )
        .order_by()
        .values_list("content_type__app_label", "codename")
    )
)


class Rights:
    """What a person may do; asked before the framework's own, which signs people in and finds the same rights kept.

    Those of the person's roles and those given to the person alone, read once a request.
    """

    def authenticate(self, _request: HttpRequest | None, **_credentials: Any) -> None:
        """Nobody is signed in here."""

    def has_perm(self, person: Any, permission: str, record: Any = None) -> bool:
        return permission in self.get_all_permissions(person, record)

    def get_all_permissions(self, person: Any, record: Any = None) -> set[str]:
        """As ``app.codename``; none for who is not active, and none beside a superuser's, who may do everything."""
        if not person.is_active or person.is_anonymous or record is not None or person.is_superuser:
            return set()
        if not hasattr(person, "_perm_cache"):
            person._perm_cache = {f"{app}.{codename}" for app, codename in _RIGHTS.rows([person.pk])}
        return person._perm_cache
