"""Who sits behind a session and what they may do, in one question where the framework asks three."""

from functools import lru_cache
from typing import Any

from django.contrib.auth.backends import ModelBackend
from django.contrib.auth.models import Permission
from django.core.exceptions import PermissionDenied
from django.db import connection
from django.db.models import Aggregate, CharField, OuterRef, Subquery
from django.http import HttpRequest

from firings.rows.queries import Prepared
from studio.models import Person

_FIELDS = [field.attname for field in Person._meta.concrete_fields]


class Joined(Aggregate):
    """The keys of a group of rows in one text, a comma between: one row is read where there would be hundreds."""

    function = "GROUP_CONCAT"
    output_field = CharField()

    def as_postgresql(self, compiler: Any, connection: Any, **more: Any) -> Any:
        return self.as_sql(compiler, connection, template="STRING_AGG(%(expressions)s::text, ',')", **more)


def _given(through: Any, permission: str) -> Subquery:
    """Keys of the permissions that a person is given by one of the two ways."""
    rows = through.objects.filter(person=OuterRef("pk")).order_by().values("person")
    return Subquery(rows.annotate(keys=Joined(permission)).values("keys"))


_PEOPLE = Prepared(
    lambda among: (
        Person.objects.filter(among("pk"))
        .order_by()
        .annotate(
            by_role=_given(Person.groups.through, "group__permissions"),
            alone=_given(Person.user_permissions.through, "permission"),
        )
        .values_list(*_FIELDS, "by_role", "alone")
    )
)


@lru_cache(maxsize=64)
def _named(*keys: str | None) -> frozenset[str]:
    """Permissions as ``app.codename``. Kept, as the database never gives a key again and no page renames one."""
    wanted = [key for some in keys if some for key in some.split(",")]
    found = Permission.objects.filter(pk__in=wanted).values_list("content_type__app_label", "codename")
    return frozenset(f"{app}.{codename}" for app, codename in found)


class Rights(ModelBackend):
    """Asked before the framework's own, which stays for sessions that were opened by it."""

    def authenticate(
        self,
        request: HttpRequest | None,
        username: str | None = None,
        password: str | None = None,
        **more: Any,
    ) -> Person:
        """The person whose name and password these are; raises PermissionDenied, so that nobody hashes them again."""
        person = super().authenticate(request, username, password, **more)
        if person is None:
            raise PermissionDenied
        return person

    def get_user(self, key: int) -> Person | None:
        """Someone who may come in, rights and all; None for who may not, or is not there."""
        row = next(iter(_PEOPLE.rows([key])), None)
        if row is None:
            return None
        person: Any = Person.from_db(connection.alias, _FIELDS, row[:-2])
        person._perm_cache = _named(*row[-2:])
        return person if self.user_can_authenticate(person) else None

    def has_perm(self, person: Any, permission: str, record: Any = None) -> bool:
        return permission in self.get_all_permissions(person, record)

    def get_all_permissions(self, person: Any, record: Any = None) -> set[str]:
        """As ``app.codename``; none for who is not active, and none beside a superuser's, who may do everything."""
        if not person.is_active or person.is_anonymous or record is not None or person.is_superuser:
            return set()
        if not hasattr(person, "_perm_cache"):
            person._perm_cache = _named(*_PEOPLE.rows([person.pk])[0][-2:])
        return person._perm_cache
