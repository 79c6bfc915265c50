"""What one outcome takes on the disk and in time: python -m tests.bench.growth --outcomes 100000

Two studios in folders of their own: the demo, whose records were made by the pages' own services and so have their
history, and a made-up one of so many outcomes, without history. For both, the bytes of tables and indexes by fired
outcome, on SQLite or on the PostgreSQL of DATABASE_URL, which must be empty (tests/postgres.sh lends one). Nothing is
bounded here: these are the figures that deploy/GROWING.md reckons with.
"""

import argparse
import io
import os
import subprocess
import sys
import tempfile
from collections import defaultdict
from pathlib import Path

import django

FOLDER = tempfile.TemporaryDirectory(prefix="tilewright-bench-")
os.environ.setdefault("TILEWRIGHT_DATA", FOLDER.name)
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
django.setup()

from django.apps import apps  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.db import connection  # noqa: E402

from tiles.models import Outcome  # noqa: E402

SIZES = {
    # The free pages and what is left over in a page belong to the table or index that holds the page.
    "sqlite": "SELECT m.tbl_name, m.type = 'index', SUM(d.pgsize) FROM dbstat d "
    "JOIN sqlite_master m ON m.name = d.name GROUP BY 1, 2",
    "postgresql": "SELECT relname, FALSE, pg_table_size(relid) FROM pg_stat_user_tables "
    "UNION ALL SELECT relname, TRUE, pg_indexes_size(relid) FROM pg_stat_user_tables",
}


def history_tables() -> set[str]:
    """Tables that only say what a record was before."""
    return {model._meta.db_table for model in apps.get_models() if model.__name__.startswith("Historical")}


def bytes_by_kind() -> tuple[dict[str, float], dict[str, float]]:
    """Bytes of the whole database by kind of content, and by table with its indexes."""
    histories = history_tables()
    kinds: dict[str, float] = defaultdict(float)
    tables: dict[str, float] = defaultdict(float)
    with connection.cursor() as cursor:
        cursor.execute(SIZES[connection.vendor])
        for table, is_index, size in cursor.fetchall():
            kind = "history" if table in histories else "indexes" if is_index else "tables"
            kinds[kind] += float(size)
            tables[table] += float(size)
    return kinds, tables


def tell(name: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    fired = Outcome.objects.fired().count()
    kinds, tables = bytes_by_kind()
    total = sum(kinds.values())
    print(
        f"{name}, {connection.vendor}: {fired} fired outcomes, {total / 1e6:.1f} MB, {total / fired:.0f} bytes each"
    )
    for kind, size in sorted(kinds.items()):
        print(f"  {kind:32} {size / fired:8.0f} bytes an outcome")
    for table, size in sorted(tables.items(), key=lambda pair: -pair[1])[:8]:
        print(f"    {table:30} {size / fired:8.0f}")


def measure(studio: str, outcomes: int) -> None:
    """Make one studio where this process's settings point, and tell its size."""
    call_command("migrate", verbosity=0)
    if studio == "demo":
        call_command("demo", verbosity=0, stdout=io.StringIO())
    else:
        call_command("make_outcomes", str(outcomes), verbosity=0)
    tell(studio)


def main() -> int:
    reader = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    reader.add_argument("--outcomes", type=int, default=100_000)
    reader.add_argument("--studio", choices=["demo", "made-up"], help=argparse.SUPPRESS)
    asked = reader.parse_args()
    if asked.studio:
        measure(asked.studio, asked.outcomes)
        return 0
    if connection.introspection.table_names():
        reader.error("DATABASE_URL names a database that holds something. Both studios want an empty one.")
    connection.close()
    for studio in ("demo", "made-up"):
        folder = Path(FOLDER.name) / studio
        folder.mkdir()
        command = [
            sys.executable,
            "-m",
            "tests.bench.growth",
            "--outcomes",
            str(asked.outcomes),
            "--studio",
            studio,
        ]
        subprocess.run(command, check=True, env={**os.environ, "TILEWRIGHT_DATA": str(folder)})
        empty_again()
    return 0


def empty_again() -> None:
    """Take out of a PostgreSQL database what the studio before laid there; SQLite's lies in its own folder."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("DROP SCHEMA public CASCADE")
            cursor.execute("CREATE SCHEMA public")
        connection.close()


if __name__ == "__main__":
    sys.exit(main())
