"""Writing rows of the studio's tables as they are: no defaults, no history of their own, nothing worked out."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from typing import Any

from django.contrib.auth.models import Group
from django.core.management.color import no_style
from django.db import connections, models

from studio.models import Person

WRITTEN_AT_ONCE = 1_000


def write_rows(
    model: type[models.Model],
    fields: Sequence[models.Field[Any, Any]],
    rows: Iterable[Sequence[Any]],
    using: str = "default",
) -> int:
    """Add rows to a table, set-wise; how many. References may point to rows that come later in the transaction."""
    connection = connections[using]
    quote = connection.ops.quote_name
    columns = ", ".join(quote(str(field.column)) for field in fields)
    places = ", ".join(["%s"] * len(fields))
    statement = f"INSERT INTO {quote(model._meta.db_table)} ({columns}) VALUES ({places})"  # nosec B608
    written = 0
    with connection.cursor() as cursor:
        for batch in _batches(rows):
            cursor.executemany(statement, [_prepared(row, fields, connection) for row in batch])
            written += len(batch)
    return written


def _batches(rows: Iterable[Sequence[Any]]) -> Iterator[list[Sequence[Any]]]:
    left = iter(rows)
    while batch := list(islice(left, WRITTEN_AT_ONCE)):
        yield batch


def _prepared(row: Sequence[Any], fields: Sequence[models.Field[Any, Any]], connection: Any) -> list[Any]:
    return [field.get_db_prep_save(value, connection) for field, value in zip(fields, row, strict=True)]


def go_on_counting(tables: Sequence[type[models.Model]], using: str = "default") -> None:
    """Let each table's next key follow the highest that was written."""
    connection = connections[using]
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), tables):
            cursor.execute(statement)


def give_roles(held: dict[int, str], using: str = "default") -> None:
    """Put people into their groups, by the groups' names; what a group may do is settled when the studio starts."""
    groups = {role: Group.objects.using(using).get_or_create(name=role)[0].pk for role in set(held.values())}
    through = Person.groups.through
    through.objects.using(using).bulk_create(
        through(person_id=person, group_id=groups[role]) for person, role in held.items()
    )
