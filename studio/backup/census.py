"""What a database holds, by asking it: the same questions of a living studio, a snapshot and a restored copy."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

Rows = Iterable[tuple[Any, ...]]


@dataclass(frozen=True, slots=True)
class Census:
    """Rows of each table, the last migration of each app, and the files that rows stand for."""

    tables: dict[str, int]
    migrations: dict[str, str]
    photos: list[tuple[str, str]]
    curves: list[str]


def census(ask: Callable[[str], Rows], tables: Iterable[str]) -> Census:
    """Count by `ask`, which runs one SQL statement and gives its rows; table names are the schema's own."""
    counts = {table: next(iter(ask(f'SELECT COUNT(*) FROM "{table}"')))[0] for table in sorted(tables)}  # nosec B608
    return Census(
        tables=counts,
        migrations=dict(ask("SELECT app, MAX(name) FROM django_migrations GROUP BY app")),
        photos=[(sha256, form) for sha256, form in ask("SELECT sha256, format FROM tiles_photo")],
        curves=sorted({row[0] for row in ask("SELECT original_sha256 FROM firings_curve")}),
    )


def differences(before: dict[str, int], after: dict[str, int]) -> list[str]:
    """What two counts of tables do not agree on, a line each.

    >>> differences({"tiles_tile": 3, "tiles_glaze": 1}, {"tiles_tile": 2, "tiles_glaze": 1})
    ['tiles_tile holds 2 rows, not 3']
    """
    return [
        f"{table} holds {after.get(table, 0)} rows, not {before.get(table, 0)}"
        for table in sorted({*before, *after})
        if before.get(table, 0) != after.get(table, 0)
    ]
