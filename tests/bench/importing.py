"""What bringing in a spreadsheet costs, as a ratio against its floor: python -m tests.bench.importing --rows 100000

A spreadsheet of so many invented rows is read, validated and written, history included, in a studio of its own. The
floor is a bare executemany of the very rows that this left in the database: same tables, same indexes, one transaction,
every value ready, no triggers. Beside it stands the harsher floor of the records alone, without their history and the
marks of the import. Seconds are the processor's, so that other work on the machine counts in neither. Results are
measured with three zones a tile, glazes as new rows, then with one cell of each changed. Meanwhile a second process
writes one row, again and again; the longest it waited is said, in seconds by the clock. Exits with 1 where a ratio is
above its bound.
"""

import argparse
import csv
import io
import os
import random
import resource
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import django

FOLDER = tempfile.TemporaryDirectory(prefix="tilewright-bench-")
os.environ["TILEWRIGHT_DATA"] = FOLDER.name
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
django.setup()

from django.conf import settings  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.db import connection  # noqa: E402

from studio.importing.services import take_in  # noqa: E402
from studio.people.services import add_person  # noqa: E402
from studio.roles import Role  # noqa: E402
from tiles.columns import triggers  # noqa: E402

MOST = 3.0
LEFT_OUT = {"tiles_resultchange", "django_session", "sqlite_sequence"}
SURFACES = ("gloss", "Satin", "matte", "semi-gloss", "dry", "")
OPACITIES = ("clear", "opaque", "translucent", "")
FLAWS = ("", "", "", "slight crazing", "pinholes; crawling (severe)", "none")
VERDICTS = ("keep", "again", "no", "")


def results(count: int, seed: int = 7) -> bytes:
    """An invented sheet of results: three zones a tile, forty tiles a firing."""
    chance = random.Random(seed)
    out = io.StringIO()
    sheet = csv.writer(out)
    sheet.writerow(
        [
            "Tile",
            "Clay",
            "Layers",
            "Band",
            "Firing",
            "Date",
            "Kiln",
            "Cone",
            "Hold",
            "Finish",
            "Opacity",
            "Run mm",
            "Flaws",
            "Verdict",
            "Notes",
        ]
    )
    glazes = [f"Invented {place}" for place in range(120)]
    for row in range(count):
        tile, band = divmod(row, 3)
        if band == 0:
            body = f"Body {chance.randrange(8)}"
            top, under = chance.choice(glazes), chance.choice(glazes)
            is_layered = chance.random() < 0.36
            firing = tile // 40
        stack = f"{top} x{band + 1}" if not is_layered else f"{under} x1 + {top} x{band + 1}"
        sheet.writerow(
            [
                f"T{tile}",
                body,
                stack,
                f"band {band + 1}",
                firing + 1,
                f"{firing % 28 + 1}/{firing % 12 + 1}/{2015 + firing % 9}",
                f"Kiln {firing % 3}",
                ("6", "5", "10R", "04", "5½")[firing % 5],
                ("10 min", "", "0:15")[firing % 3],
                chance.choice(SURFACES),
                chance.choice(OPACITIES),
                f"{chance.random() * 6:.1f}".replace(".", ","),
                chance.choice(FLAWS),
                chance.choice(VERDICTS),
                "runs where thick" if chance.random() < 0.1 else "",
            ]
        )
    return out.getvalue().encode()


def glazes(count: int, maker: str = "mixed here") -> bytes:
    """An invented list of glazes."""
    out = io.StringIO()
    sheet = csv.writer(out, delimiter=";")
    sheet.writerow(
        [
            "Glaze",
            "Type",
            "Maker",
            "Meant from cone",
            "To cone",
            "Surface",
            "Runs",
            "Coats from",
            "Coats to",
            "Notes",
        ]
    )
    for row in range(count):
        low = row % 5
        sheet.writerow(
            [
                f"Invented {row}",
                ("glaze", "flux", "wash")[row % 3],
                maker,
                ("04", "5", "5½", "6", "7")[low],
                "10",
                ("glossy", "satin", "matt", "")[row % 4],
                ("yes", "no")[row % 2],
                1,
                3,
                f"Row {row}.",
            ]
        )
    return out.getvalue().encode()


def database() -> Path:
    return Path(settings.DATABASES["default"]["NAME"])


def counts() -> dict[str, int]:
    """The highest row of each table, to tell what is added."""
    with connection.cursor() as cursor:
        found = {}
        for table in connection.introspection.table_names():
            if table not in LEFT_OUT:
                cursor.execute(f'SELECT coalesce(max(rowid), 0) FROM "{table}"')
                found[table] = cursor.fetchone()[0]
    return found


def floor_of(empty: Path, before: dict[str, int], *, records_alone: bool = False) -> tuple[float, int]:
    """Seconds of a bare executemany of every row that was added since, into a copy of the studio before; how many."""
    full = sqlite3.connect(database())
    added = {}
    for table, highest in before.items():
        rows = full.execute(f'SELECT * FROM "{table}" WHERE rowid > ?', [highest]).fetchall()
        if rows and not (records_alone and ("historical" in table or table == "studio_importedrecord")):
            added[table] = rows
    full.close()
    bare = sqlite3.connect(empty, isolation_level=None)
    for statement in triggers.taken_off("sqlite"):
        bare.execute(statement)
    bare.execute("PRAGMA journal_mode=WAL")
    bare.execute("PRAGMA synchronous=NORMAL")
    bare.execute("PRAGMA foreign_keys=ON")
    began = time.process_time()
    bare.execute("BEGIN IMMEDIATE")
    bare.execute("PRAGMA defer_foreign_keys=ON")
    for table, rows in added.items():
        places = ", ".join("?" * len(rows[0]))
        bare.executemany(f'INSERT INTO "{table}" VALUES ({places})', rows)
    bare.execute("COMMIT")
    took = time.process_time() - began
    bare.close()
    return took, sum(map(len, added.values()))


WRITE_ON = """
import sqlite3, sys, time
longest = 0.0
writes = 0
with open(sys.argv[2], "w") as told:
    other = sqlite3.connect(sys.argv[1], timeout=600, isolation_level=None)
    other.execute("PRAGMA synchronous=NORMAL")
    while True:
        began = time.monotonic()
        other.execute("UPDATE studio_person SET is_active = is_active")
        longest, writes = max(longest, time.monotonic() - began), writes + 1
        told.seek(0)
        told.write(f"{longest:.2f} {writes}   ")
        told.flush()
        time.sleep(0.02)
"""


@contextmanager
def another_writes() -> Iterator[Callable[[], str]]:
    """A second process that writes all the while; gives how long it waited at most and how often it wrote."""
    told = Path(FOLDER.name) / "waited"
    told.write_text("")
    process = subprocess.Popen([sys.executable, "-c", WRITE_ON, str(database()), str(told)])
    try:
        while not told.read_text():
            time.sleep(0.05)
        yield told.read_text
    finally:
        process.kill()
        process.wait()


def measured(title: str, data: bytes, kind: str, by: object) -> float:
    """Bring a file in, and its floor; prints both and gives the ratio."""
    empty = Path(FOLDER.name) / "floor.sqlite3"
    connection.close()
    shutil.copyfile(database(), empty)
    before = counts()
    with another_writes() as how_long:
        began = time.process_time()
        report = take_in(data, kind, by=by, only_try=False)
        took = time.process_time() - began
        # The write that waited for the last lot is told of once it is done.
        time.sleep(0.5)
        longest, writes = how_long().split()
    connection.close()
    if report.total:
        sys.exit(f"{title}: {report.total} to mend, first {report.messages[0]}")
    shutil.copyfile(empty, alone := empty.with_suffix(".alone"))
    floor, rows = floor_of(empty, before)
    harsher, fewer = floor_of(alone, before, records_alone=True)
    for file in (empty, alone):
        file.unlink()
    ratio = took / floor
    print(
        f"{title:<34} {took:7.2f} s   bare executemany of its {rows:,} rows {floor:6.2f} s   "
        f"ratio {ratio:4.2f} (at most {MOST:g});   its {fewer:,} records alone {harsher:5.2f} s, {took / harsher:4.2f}",
        flush=True,
    )
    print(
        f"{'':<34} another process wrote {writes} times meanwhile and waited {longest} s at most", flush=True
    )
    return ratio


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    asked.add_argument("--rows", type=int, default=100_000)
    rows = asked.parse_args().rows
    call_command("migrate", verbosity=0)
    keeper = add_person("Kit Kerr", Role.KEEPER)
    sheet = results(rows)
    ratios = [
        measured(f"{rows:,} results", sheet, "results", keeper),
        measured(f"{rows:,} glazes", glazes(rows), "glazes", keeper),
    ]
    began = time.process_time()
    again = take_in(sheet, "results", by=keeper, only_try=False)
    print(
        f"{'the same results again':<34} {time.process_time() - began:7.2f} s   {again.unchanged:,} known again"
    )
    began = time.process_time()
    changed = take_in(glazes(rows, "another"), "glazes", by=keeper, only_try=False)
    took = time.process_time() - began
    print(f"{'the same glazes, one cell changed':<34} {took:7.2f} s   {len(changed.changed):,} changed")
    print(f"{'memory at the peak':<34} {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024:7,} MB")
    sys.exit(max(ratios) > MOST)


if __name__ == "__main__":
    main()
