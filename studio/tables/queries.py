"""The tables that make up a studio, and their rows."""

from collections.abc import Iterator, Sequence
from typing import Any

from django.apps import apps
from django.db import models

from studio.models import Person
from studio.roles import Role
from studio.tables.told import Fingerprint, fingerprint

FLOORS = ("firings", "tiles", "studio")
# What belongs to one machine or one moment, or is made anew by itself. Roles go by their groups' names.
LEFT_WHERE_IT_IS = {
    "studio.signinlink",
    "studio.signintry",
    "studio.worker",
    "studio.person_groups",
    "studio.person_user_permissions",
    "tiles.resultchange",
}
READ_AT_ONCE = 2_000


def carried() -> list[type[models.Model]]:
    """Every table of the studio's own that another place must have too, history included; by name."""
    found = [
        model
        for floor in FLOORS
        for model in apps.get_app_config(floor).get_models(include_auto_created=True)
    ]
    return sorted(
        (model for model in found if model._meta.managed and model._meta.label_lower not in LEFT_WHERE_IT_IS),
        key=lambda model: model._meta.db_table,
    )


def fields_of(model: type[models.Model]) -> list[models.Field[Any, Any]]:
    """The columns that hold what was written; not those that the database works out."""
    return [field for field in model._meta.concrete_fields if not field.generated]


def rows_of(
    model: type[models.Model], using: str = "default", fields: Sequence[models.Field[Any, Any]] = ()
) -> Iterator[tuple[Any, ...]]:
    """All rows in the order of their keys, the bin included, a few thousand in memory at a time."""
    names = [field.attname for field in fields or fields_of(model)]
    rows = model._base_manager.using(using).order_by("pk").values_list(*names)
    yield from rows.iterator(chunk_size=READ_AT_ONCE)


def fingerprint_of(model: type[models.Model], using: str = "default") -> Fingerprint:
    """What a table holds, to be compared with the same table elsewhere."""
    return fingerprint(rows_of(model, using))


def roles_held(using: str = "default") -> dict[int, str]:
    """The role of each person; groups have other keys in another place."""
    ours = [role.value for role in Role]
    held = Person.groups.through.objects.using(using).filter(group__name__in=ours)
    return dict(held.values_list("person_id", "group__name"))
