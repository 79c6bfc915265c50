"""A long import on SQLite lets others write in between, is seen whole or not at all, and dies without a trace."""

import os
import re
import signal
import sqlite3
import subprocess
import sys

import pytest
from django.core.exceptions import ObjectDoesNotExist
from django.db import connection

from studio.bin.queries import in_bin
from studio.importing import services
from studio.importing.lots import services as lots
from studio.importing.undoing import services as undoing
from studio.models import SpreadsheetImport
from studio.people.services import add_person
from studio.roles import Role
from tests.factories import GlazeFactory
from tiles.columns import queries
from tiles.models import Glaze, Outcome, Tile

ON_SQLITE = connection.vendor == "sqlite"
pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(
        not ON_SQLITE or os.name == "nt", reason="only there one transaction keeps all from writing"
    ),
]

COUNT = 47
ROWS = "tile,body,glaze,coats,date,kiln,cone,flaws\n" + "".join(
    f"{n},Dune,{'Harbour' if n % 3 else 'Invented'},{n % 4 + 1},2025-01-{n % 5 + 1:02d},Oriel,6,crazing\n"
    for n in range(COUNT)
)


@pytest.fixture
def keeper(monkeypatch):
    monkeypatch.setattr(lots, "TILES_AT_ONCE", 10)
    monkeypatch.setattr(lots, "BREATH_S", 0)
    return add_person("Kit Kerr", Role.KEEPER)


def received(keeper) -> SpreadsheetImport:
    return services.receive(ROWS.encode(), "list.csv", "results", by=keeper)


def all_rows() -> dict[str, int]:
    """How many rows each table of the log holds, history included."""
    tables = [one for one in connection.introspection.table_names() if one.startswith(("tiles_", "firings_"))]
    found = {}
    with connection.cursor() as cursor:
        for table in (*tables, "studio_importedrecord"):
            if table != "tiles_resultchange":
                cursor.execute(f'SELECT count(*) FROM "{table}"')
                found[table] = cursor.fetchone()[0]
    return found


def held() -> int:
    standing = queries.standing()
    assert standing is not None
    return len(standing.rows.keys)


def test_no_transaction_lays_down_more_tiles_than_a_lot(keeper):
    spans: list[int] = []

    def count(execute, sql, params, many, context):
        if sql.startswith("BEGIN"):
            spans.append(0)
        if many and re.match(r'INSERT INTO "tiles_tile"', sql):
            params = list(params)
            spans[-1] += len(params)
        return execute(sql, params, many, context)

    with connection.execute_wrapper(count):
        services.keep(received(keeper), by=keeper)

    assert [one for one in spans if one] == [10, 10, 10, 10, 7]
    assert spans[-1] == 0
    assert Tile.objects.count() == COUNT


def test_between_two_lots_others_write_at_once_and_see_nothing_of_it(keeper, monkeypatch):
    seen = []

    def look(_):
        # Waits for nobody: a lock that is still held would be an error.
        with sqlite3.connect(connection.settings_dict["NAME"], timeout=0) as other:
            other.execute("UPDATE studio_person SET is_active = 1")
        other.close()
        seen.append(
            (Tile.objects.count(), Glaze.objects.count(), len(in_bin(keeper, keeper.date_joined)), held())
        )

    monkeypatch.setattr(lots.time, "sleep", look)
    of = services.keep(received(keeper), by=keeper)

    assert seen == [(0, 0, 0, 0)] * 6
    assert of.state == "kept"
    assert held() == COUNT


def test_what_was_laid_in_lots_has_one_version_and_is_undone_as_a_whole(keeper):
    before = all_rows()
    of = services.keep(received(keeper), by=keeper)
    for model in (Tile, Glaze):
        versions = model.history.values_list("id", "history_type", "binned_at")
        assert sorted(versions) == [
            (key, "+", None) for key in model.objects.order_by("pk").values_list("pk", flat=True)
        ]
    assert set(Tile.objects.values_list("stamp", flat=True)) == {1}
    assert len(set(Tile.objects.values_list("number", flat=True))) == COUNT
    again = services.keep(received(keeper), by=keeper)
    assert services.report_of(again).unchanged == COUNT
    assert Outcome.objects.count() == COUNT

    undoing.undo(of, by=keeper)
    assert not Tile.objects.exists()
    assert held() == 0
    undoing.put_back(of, by=keeper)
    assert held() == COUNT
    assert before["tiles_tile"] == 0


def test_what_fails_in_the_third_lot_leaves_no_row(keeper, monkeypatch):
    of, before = received(keeper), all_rows()
    laid = services.earlier.lay_down
    calls = []

    def fail(*args, **kwargs):
        calls.append(1)
        if len(calls) == 4:
            raise OSError("disk full")
        return laid(*args, **kwargs)

    monkeypatch.setattr(services.earlier, "lay_down", fail)
    with pytest.raises(OSError, match="disk full"):
        services.keep(of, by=keeper)

    assert all_rows() == before
    of.refresh_from_db()
    assert of.state == "open"


def test_a_name_made_by_somebody_meanwhile_is_used_and_not_made_twice(keeper, monkeypatch):
    breaths = []

    def make(_):
        breaths.append(1)
        if len(breaths) == 3:
            GlazeFactory(name="harbour")

    monkeypatch.setattr(lots.time, "sleep", make)
    services.keep(received(keeper), by=keeper)

    assert sorted(Glaze.objects.values_list("name", flat=True)) == ["Invented", "harbour"]
    assert Tile.objects.count() == Tile.everything.count() == COUNT


def test_a_file_dropped_meanwhile_is_not_brought_in(keeper, monkeypatch):
    of, before = received(keeper), all_rows()
    monkeypatch.setattr(lots.time, "sleep", lambda _: SpreadsheetImport.objects.all().delete())
    with pytest.raises(ObjectDoesNotExist):
        services.keep(of, by=keeper)
    assert all_rows() == before


KEEP_AND_DIE = """
import os, signal, sys
import django
from django.conf import settings
settings.DATABASES["default"]["NAME"] = sys.argv[1]
django.setup()
from studio.importing import services
from studio.importing.lots import services as lots
from studio.models import SpreadsheetImport
lots.TILES_AT_ONCE = 10
breaths = []
def die(_):
    breaths.append(1)
    if len(breaths) == 4:
        os.kill(os.getpid(), signal.SIGKILL)
lots.time.sleep = die
of = SpreadsheetImport.objects.get()
services.keep(of, by=of.made_by)
"""


def test_what_a_killed_import_left_is_struck_out_by_whoever_comes_next(keeper):
    received(keeper)
    before = all_rows()
    killed = subprocess.run(
        [sys.executable, "-c", KEEP_AND_DIE, str(connection.settings_dict["NAME"])],
        env={**os.environ, "DJANGO_SETTINGS_MODULE": "studio.settings"},
        check=False,
    )
    assert killed.returncode == -signal.SIGKILL
    assert Tile.everything.count() == 30
    assert not Tile.objects.exists()

    assert lots.strike_out_abandoned() == 30
    assert all_rows() == before
    services.keep(SpreadsheetImport.objects.get(), by=keeper)
    assert Tile.objects.count() == COUNT


def test_what_an_import_at_work_has_laid_is_left_alone(keeper, monkeypatch):
    struck = []
    monkeypatch.setattr(lots.time, "sleep", lambda _: struck.append(lots.strike_out_abandoned()))
    services.keep(received(keeper), by=keeper)
    assert struck == [0] * 6
    assert Tile.objects.count() == COUNT
