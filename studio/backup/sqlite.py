"""Snapshots of an SQLite database while others write into it, and whether one is sound.

Copying the file with `cp` gave no good copy in twelve tries; the backup call of SQLite itself twelve of twelve. All
pages are asked for at once: in steps it starts over at every foreign write and never ends.
"""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from studio.backup.census import Census, Rows, census


def snapshot(source: Path, target: Path) -> None:
    """Copy a living database to `target`, as it stood at one moment; writers do not wait."""
    with closing(sqlite3.connect(source, timeout=60)) as living, closing(sqlite3.connect(target)) as copy:
        living.backup(copy)
        # A snapshot is one file: it takes no log of its own along.
        copy.execute("PRAGMA journal_mode=DELETE")


def count(database: Path) -> Census:
    """The census of a snapshot."""
    with closing(_read_only(database)) as connection:
        tables = [row[0] for row in connection.execute(_TABLES)]
        return census(lambda sql: _ask(connection, sql), tables)


def trouble(database: Path) -> list[str]:
    """What SQLite itself finds wrong with a snapshot."""
    with closing(_read_only(database)) as connection:
        return complaints(connection.execute)


def complaints(execute: Callable[[str], Rows]) -> list[str]:
    """What SQLite finds wrong with the database that `execute` asks: pages, indexes, rows that point at nothing."""
    pages = [row[0] for row in execute("PRAGMA integrity_check") if row[0] != "ok"]
    loose = [
        f"a row of {row[0]} points at nothing in {row[2]}" for row in execute("PRAGMA foreign_key_check")
    ]
    return pages + loose


_TABLES = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"


def _read_only(database: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"{database.resolve().as_uri()}?immutable=1", uri=True)


def _ask(connection: sqlite3.Connection, sql: str) -> Rows:
    return connection.execute(sql).fetchall()
