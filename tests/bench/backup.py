"""What a backup costs: against copying the same bytes, and what people who write meanwhile notice of it.

    python -m tests.bench.backup [--megabytes 1000] [--times 12]

Makes a studio of so many megabytes, a third of them database, in a folder of its own. A second process commits about a
hundred times a second while backups are made; each is restored on trial and compared.
"""

import argparse
import hashlib
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from contextlib import closing, contextmanager
from pathlib import Path

import django

# The tests' settings keep everything in a folder of their own, gone afterwards.
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
django.setup()

from django.conf import settings  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.db import connection  # noqa: E402

from studio.backup import services  # noqa: E402
from tiles.models import Photo  # noqa: E402
from tiles.photos.services import photo_store  # noqa: E402

ROW_BYTES = 2000
PHOTO_BYTES = 5_000_000
PAUSE_S = 0.01
TABLE = "CREATE TABLE IF NOT EXISTS bench_ballast (id INTEGER PRIMARY KEY, words BLOB)"

WRITER = """
import sqlite3, sys, time
connection = sqlite3.connect(sys.argv[1], timeout=20, isolation_level=None)
connection.execute("PRAGMA journal_mode=WAL")
connection.execute("PRAGMA synchronous=NORMAL")
# Whoever asked may be killed: nobody goes on for ever.
until = time.monotonic() + 120
while time.monotonic() < until:
    began = time.perf_counter()
    connection.execute("BEGIN IMMEDIATE")
    connection.execute("INSERT INTO bench_ballast (words) VALUES (randomblob(300))")
    connection.execute("COMMIT")
    print(time.perf_counter() - began, flush=True)
    time.sleep(float(sys.argv[2]))
"""


def make_studio(megabytes: int) -> None:
    """Photographs with their rows, and a database a third of the whole."""
    call_command("migrate", verbosity=0)
    with connection.cursor() as cursor:
        cursor.execute(TABLE)
        count = megabytes * 1_000_000 // 3 // ROW_BYTES
        numbers = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < %s)"
        cursor.execute(
            f"{numbers} INSERT INTO bench_ballast (words) SELECT randomblob({ROW_BYTES}) FROM n", [count]
        )
    rows = []
    for _ in range(megabytes * 1_000_000 * 2 // 3 // PHOTO_BYTES):
        content = os.urandom(PHOTO_BYTES)
        sha256 = hashlib.sha256(content).hexdigest()
        place = photo_store().original(sha256, "jpg")
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(content)
        rows.append(Photo(sha256=sha256, format="JPEG", width=4000, height=3000, byte_count=PHOTO_BYTES))
    Photo.objects.bulk_create(rows)


def copy_all(folder: Path, target: Path) -> None:
    """The floor: every byte read and written once, forced to the disk."""
    for number, found in enumerate(sorted(path for path in folder.rglob("*") if path.is_file())):
        with found.open("rb") as reading, (target / str(number)).open("wb") as writing:
            shutil.copyfileobj(reading, writing, 1024 * 1024)
            writing.flush()
            os.fsync(writing.fileno())


@contextmanager
def a_writer(database: Path, waits_s: list[float]):
    """Someone who commits all the while; how long each commit took is left in `waits_s`."""
    with tempfile.TemporaryFile("w+") as told:
        writer = subprocess.Popen([sys.executable, "-c", WRITER, str(database), str(PAUSE_S)], stdout=told)
        try:
            yield
        finally:
            writer.terminate()
            writer.wait()
            told.seek(0)
            waits_s.extend(float(line) for line in told.read().splitlines())


def timed(work) -> float:
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def worst(waits_s: list[float]) -> str:
    waits_ms = sorted(wait * 1000 for wait in waits_s)
    middle, p99 = statistics.median(waits_ms), waits_ms[int(len(waits_ms) * 0.99)]
    return (
        f"{len(waits_ms):,} commits, median {middle:.1f} ms, p99 {p99:.1f} ms, longest {waits_ms[-1]:.0f} ms"
    )


def measure(folder: Path, times: int) -> None:
    database = settings.DATA_DIR / "tilewright.sqlite3"
    quiet: list[float] = []
    with a_writer(database, quiet):
        time.sleep(5)
    print(f"without a backup: {worst(quiet)}")
    copies, taken, waits, equal = [], [], [], 0
    for number in range(times):
        target = folder / "copy"
        target.mkdir()
        # Opening and closing a database's file drops the locks that this process has on it.
        connection.close()
        copies.append(timed(lambda target=target: copy_all(settings.DATA_DIR, target)))
        shutil.rmtree(target)
        made = []
        with a_writer(database, waits):
            taken.append(timed(lambda made=made: made.append(services.make_backup(folder / "backups"))))
        place = Path(made[0].place)
        proof = services.prove_backup(place)
        outcome = "equal" if not proof.problems else str(proof.problems)
        equal += not proof.problems
        print(f"backup {number + 1}: {taken[-1]:.2f} s, copy {copies[-1]:.2f} s, {outcome}", flush=True)
        place.unlink()
    print(f"backup / copy of the same bytes: {statistics.median(taken) / statistics.median(copies):.2f}")
    print(f"during backups: {worst(waits)}")
    print(f"{equal} of {times} equal")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--megabytes", type=int, default=1000)
    parser.add_argument("--times", type=int, default=12)
    wanted = parser.parse_args()
    make_studio(wanted.megabytes)
    with tempfile.TemporaryDirectory() as folder, closing(connection):
        measure(Path(folder), wanted.times)


if __name__ == "__main__":
    main()
