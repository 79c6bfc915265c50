"""What came since a package was made: it stands as on a new record, where all that was done was adding."""

from collections.abc import Mapping
from functools import cache

from django.db import models
from django.db.migrations import AddConstraint, AddField, AddIndex, CreateModel, Migration, RunPython
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.operations.base import Operation

from studio.export.package import Table

APPS = ("firings", "tiles", "studio")
# A whole table that came since stands with no field: (app, model, "").
Added = frozenset[tuple[str, str, str]]


@cache
def _written() -> dict[str, dict[str, Migration]]:
    """The migrations of each app by their names, in order."""
    found: dict[str, dict[str, Migration]] = {app: {} for app in APPS}
    for (app, name), migration in sorted(MigrationLoader(None).disk_migrations.items()):
        if app in found:
            found[app][name] = migration
    return found


def latest() -> dict[str, str]:
    """The last migration of each app: what a package made now is written down to stand at."""
    return {app: list(names)[-1] for app, names in _written().items()}


def added_since(stood: Mapping[str, str]) -> Added:
    """What came to the tables since a package was made; nothing where something else was done to them, too."""
    if any(stood.get(app) not in names for app, names in _written().items()):
        return frozenset()
    since = (
        (app, operation)
        for app, migrations in _written().items()
        for name, migration in migrations.items()
        if name > stood[app]
        for operation in migration.operations
    )
    added: set[tuple[str, str, str]] = set()
    for app, one in since:
        if isinstance(one, AddField):
            added.add((app, one.model_name.lower(), one.name))
        elif isinstance(one, CreateModel):
            added.add((app, one.name.lower(), ""))
        elif not (isinstance(one, AddIndex | AddConstraint) or _counts_anew(one)):
            return frozenset()
    return frozenset(added)


def _counts_anew(operation: Operation) -> bool:
    """Whether a step only worked out anew what is worked out of every package that is taken in."""
    return isinstance(operation, RunPython) and bool(operation.hints.get("counts_anew"))


def came_later(model: type[models.Model], table: Table, header: list[str] | None, added: Added) -> bool:
    """Whether what a package's table lacks, or the whole table, came since and begins by itself."""
    app, name = model._meta.app_label, model._meta.model_name or ""
    if header is None:
        return (app, name, "") in added
    of_table = set(table.header)
    if header != [column for column in table.header if column in set(header)]:
        return False
    fields = {field.attname: field for field in model._meta.concrete_fields}
    return all(
        column in fields and (app, name, fields[column].name) in added and begins(fields[column])
        for column in of_table - set(header)
    )


def begins(field: models.Field) -> bool:
    """Whether a record can be without anything written in a field."""
    return field.null or field.has_default() or field.empty_strings_allowed
