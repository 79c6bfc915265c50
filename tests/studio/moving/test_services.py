"""From SQLite to PostgreSQL: everything, the same, or nothing."""

import os
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from django.conf import settings
from django.db import connection

from studio.moving.services import CannotMove, move_to_postgres

pytestmark = pytest.mark.django_db(transaction=True)

ROOT = Path(__file__).parents[3]

# A studio on SQLite with something in every corner a move could lose: history, the bin, a photo, roles, every table.
STUDIO = """
import django
django.setup()
import io
from django.core.management import call_command
call_command("migrate", verbosity=0)
from studio.people.services import add_person
from studio.roles import Role
from tests.every_table import fill_every_table
from tests.factories import FiringFactory, GlazeFactory, TileFactory, fired_outcomes, glaze_tile
from tests.tiles.photos import corpus
from tiles.photos.services import store_photo
keeper = add_person("Rowan Reed", Role.KEEPER)
add_person("Ines Ivory", Role.VIEWER)
glaze = GlazeFactory(name="Harbour – 青磁", note="50 % 'quoted' \\\\ \\n second line")
glaze.note = "changed"
glaze.save()
for n in range(3):
    fired_outcomes(glaze_tile(TileFactory(), (glaze, {"band 1": 1, "band 2": 2})), FiringFactory(fired=True))
TileFactory().put_in_bin(by=keeper)
store_photo(io.BytesIO(corpus.jpeg()), by=keeper, tile=None)
fill_every_table(by=keeper)
"""

GOES_ON = """
import django
django.setup()
from django.core.management import call_command
from studio.models import Person
from studio.people.queries import role_of
from tests.factories import GlazeFactory
from tiles.models import Glaze
call_command("check_conditions")
GlazeFactory(name="Made there").put_in_bin(by=None)
roles = [str(role_of(one)) for one in Person.objects.order_by("name")]
ours = Glaze.history.filter(name__in=["Harbour – 青磁", "Made there"])
print(roles, ours.count(), Glaze.objects.earliest("pk").name)
"""

BROKEN_OFF = """
import django
django.setup()
from studio.moving import services
from studio.moving.services import move_to_postgres
services._is_same = lambda model: model._meta.db_table != "tiles_tile"
"""


def run(code: list[str], data: Path, database: str = "") -> subprocess.CompletedProcess[str]:
    environment = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    environment |= {"DJANGO_SETTINGS_MODULE": "studio.settings", "TILEWRIGHT_DATA": str(data)}
    if database:
        environment["DATABASE_URL"] = database
    return subprocess.run(
        [sys.executable, "-W", "ignore", *code],
        env=environment,
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.fixture
def empty_database() -> Iterator[str]:
    """The address of an empty PostgreSQL database beside the tests' own."""
    name = "tilewright_moved_to"
    with connection.cursor() as cursor:
        cursor.execute(f"DROP DATABASE IF EXISTS {name}")
        cursor.execute(f"CREATE DATABASE {name}")
    # The tests' own address with another name at its end.
    yield f"{os.environ['DATABASE_URL'].rpartition('/')[0]}/{name}"
    with connection.cursor() as cursor:
        cursor.execute(f"DROP DATABASE {name} WITH (FORCE)")


def told(data: Path) -> str:
    """All that an SQLite studio holds, as statements; not the log of writes, which begins anew after a migration."""
    with closing(sqlite3.connect(data / "tilewright.sqlite3")) as database:
        return "\n".join(line for line in database.iterdump() if "resultchange" not in line)


@pytest.mark.skipif(settings.ON_SQLITE, reason="there is no PostgreSQL to move to")
def test_a_studio_moves_whole_or_not_at_all_and_goes_on_there(tmp_path, empty_database):
    made = run(["-c", STUDIO], tmp_path)
    assert made.returncode == 0, made.stderr
    before = told(tmp_path)

    broken = run(["-c", f"{BROKEN_OFF}move_to_postgres({empty_database!r})"], tmp_path)
    moved = run(["manage.py", "move_to_postgres", empty_database], tmp_path)
    again = run(["manage.py", "move_to_postgres", empty_database], tmp_path)
    goes_on = run(["-c", GOES_ON], tmp_path, empty_database)

    assert "did not come over as they were: tiles_tile" in broken.stderr
    assert moved.returncode == 0, moved.stderr
    assert "each table the same as here" in moved.stdout
    assert again.returncode != 0
    assert "There is a studio in that database already" in again.stderr
    assert told(tmp_path) == before
    assert goes_on.returncode == 0, goes_on.stderr
    assert goes_on.stdout.strip().endswith("['viewer', 'keeper'] 4 Harbour – 青磁")


@pytest.mark.skipif(not settings.ON_SQLITE, reason="a studio on SQLite is asked to move")
@pytest.mark.parametrize(
    ("address", "words"),
    [
        ("sqlite:///other", "postgres://"),
        ("postgres://nobody@127.0.0.1:9/none", "The other database says"),
    ],
)
def test_a_place_that_cannot_be_reached_is_said_in_a_line(tmp_path, address, words):
    refused = run(["manage.py", "move_to_postgres", address], tmp_path)

    assert refused.returncode != 0
    assert words in refused.stderr
    assert "Traceback" not in refused.stderr


@pytest.mark.skipif(settings.ON_SQLITE, reason="asked of a studio on PostgreSQL")
def test_a_studio_on_postgres_has_nowhere_to_move():
    with pytest.raises(CannotMove, match="on PostgreSQL already"):
        move_to_postgres("postgres://elsewhere/studio")
