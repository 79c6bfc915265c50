"""The whole studio out as an open package, and back without loss; what is damaged or hostile is refused whole."""

import csv
import hashlib
import io
import json
import subprocess
import sys
import warnings
import zipfile
from collections.abc import Callable
from decimal import Decimal
from os import environ
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.db.backends.base.base import BaseDatabaseWrapper
from django.utils import timezone

from firings.models import Firing
from studio.export.earlier import queries as earlier
from studio.export.queries import AS_IT_STOOD
from studio.export.services import CannotTakeIn, export_studio, import_studio
from studio.models import Person
from studio.people.queries import role_of
from studio.tables.queries import carried, fields_of, rows_of
from studio.tables.told import fingerprint
from tests.every_table import fill_every_table
from tests.factories import (
    CONE_5,
    CONE_6,
    FiringFactory,
    GlazeFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tests.tiles.photos import corpus
from tiles.models import Glaze, Outcome, Photo, Tile
from tiles.photos.services import store_photo

pytestmark = pytest.mark.django_db(transaction=True)

FORMULA = '=HYPERLINK("http://elsewhere.example","see")'
SECRETS = {"studio_person", "studio_backup", "studio_accesskey", "studio_passkey"}


@pytest.fixture(autouse=True)
def may_read_a_snapshot(monkeypatch, transactional_db) -> None:
    """The test runner forbids databases it does not know; the snapshot a package is written from is one."""
    kept = [cell.cell_contents for cell in BaseDatabaseWrapper.ensure_connection.__closure__ or ()]
    [runner] = [one for one in kept if isinstance(one, type) and hasattr(one, "databases")]
    monkeypatch.setattr(runner, "databases", {*runner.databases, AS_IT_STOOD})


@pytest.fixture
def studio(keeper, recorder, viewer) -> None:
    """Something in every corner that a package could lose: history, the bin, a formula, other scripts, a photo."""
    glaze = GlazeFactory(name=FORMULA, note="'Quoted'; 青磁, second\nline\t\"x\"")
    glaze.note += " changed"
    glaze.save()
    tile = glaze_tile(TileFactory(), (glaze, {"band 1": 1, "band 2": 2}))
    for outcome in fired_outcomes(tile, FiringFactory(fired=True)):
        outcome.run_mm, outcome.lab_l, outcome.lab_a, outcome.lab_b = "1.5", 52.123456789, -3.5, 1e-7
        outcome.lab_basis, outcome.judged_at = "chart", timezone.now()
        outcome.save()
    TileFactory().put_in_bin(by=recorder)
    store_photo(io.BytesIO(corpus.jpeg()), by=recorder, tile=tile)


@pytest.fixture
def package(studio, tmp_path) -> Path:
    place = tmp_path / "studio.zip"
    assert export_studio(place) == []
    return place


def told() -> dict[str, tuple[int, str]]:
    """All rows of all tables but what stays behind on purpose."""
    found = {}
    for model in carried():
        if model._meta.db_table not in SECRETS:
            print_of = fingerprint(rows_of(model, fields=fields_of(model)))
            found[model._meta.db_table] = (print_of.count, print_of.sha256)
    return found


def emptied() -> None:
    """An empty studio in the place of the one that was."""
    call_command("flush", verbosity=0, interactive=False)


def test_a_studio_comes_back_without_loss(package, photo_store):
    before, people = told(), {one.username: (one.name, role_of(one)) for one in Person.objects.all()}
    emptied()
    for place in (photo_store / "originals").rglob("*.jpg"):
        place.unlink()

    counts = import_studio(package)

    assert told() == before
    assert {one.username: (one.name, role_of(one)) for one in Person.objects.all()} == people
    assert not any(one.has_usable_password() for one in Person.objects.all())
    assert counts["original"] == 1
    assert next((photo_store / "originals").rglob("*.jpg")).read_bytes() == corpus.jpeg()
    assert Photo.objects.get().filings.count() == 1
    assert Tile.everything.exclude(binned_at=None).count() == 1
    GlazeFactory(name="The next one")
    call_command("check_conditions")


def test_no_table_and_no_row_of_it_stays_behind(keeper, tmp_path):
    fill_every_table(by=keeper)
    before = told()
    assert export_studio(tmp_path / "studio.zip") == []
    emptied()

    import_studio(tmp_path / "studio.zip")

    assert told() == before
    assert len(before) > 80


def test_a_package_is_a_data_package_by_the_standards_own_tool(package, tmp_path):
    """Frictionless Framework validates types, constraints, primary and foreign keys."""
    with zipfile.ZipFile(package) as file:
        file.extractall(tmp_path / "open")
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-m", "frictionless", "validate", "--json", "datapackage.json"],
        cwd=tmp_path / "open",
        capture_output=True,
        text=True,
        check=False,
        env={**environ},
    )

    report = json.loads(done.stdout)
    wrong = [(task["name"], error["message"]) for task in report["tasks"] for error in task["errors"]]
    assert wrong == []
    assert report["valid"]
    assert len(report["tasks"]) > 40


def test_nothing_secret_is_in_a_package_and_no_cell_is_run(package, keeper):
    Person.objects.filter(pk=keeper.pk).update(email="keeper@studio.example")
    export_studio(package)
    with zipfile.ZipFile(package) as file:
        everything = b"".join(file.read(name) for name in file.namelist() if name.startswith("data/"))
        people, glazes = (file.read(f"data/{name}.csv").decode() for name in ("person", "glaze"))

    assert keeper.password.encode() not in everything
    assert b"keeper@studio.example" not in everything
    assert "password" not in people
    assert keeper.name in people
    assert f'"\'{FORMULA.replace(chr(34), chr(34) * 2)}"' in glazes


def test_a_package_goes_into_an_empty_studio_only(package):
    with pytest.raises(CannotTakeIn, match="There is a studio here already"):
        import_studio(package)


def rewritten(
    package: Path, change: Callable[[str, bytes], bytes | None], more: dict[str, bytes] | None = None
) -> None:
    """The same package with some of its files changed, left out, or added."""
    with zipfile.ZipFile(package) as file:
        held = {name: file.read(name) for name in file.namelist()}
    with warnings.catch_warnings(), zipfile.ZipFile(package, "w") as file:
        warnings.simplefilter("ignore")
        for name, content in [*held.items(), *(more or {}).items()]:
            if (kept := change(name, content)) is not None:
                file.writestr(name, kept)


def only(path: str, edit: Callable[[bytes], bytes | None]) -> Callable[[str, bytes], bytes | None]:
    return lambda name, content: edit(content) if name == path else content


def same(_: str, content: bytes) -> bytes:
    return content


DAMAGE = {
    "a row was changed": (
        only("data/tile.csv", lambda told: told.replace(b"true", b"false", 1) + b" "),
        "longer than it says",
    ),
    "a cell holds another kind": (
        only("data/tile.csv", lambda told: told.replace(b"\n", b"\nx", 1)[:-1]),
        "is no whole number",
    ),
    "a table is missing": (only("data/tile.csv", lambda _: None), "“tile” is not what this version has"),
    "a column is missing": (
        only("datapackage.json", lambda told: told.replace(b'"name": "body_lot"', b'"name": "other"')),
        "is not what this version has",
    ),
    "its description is none": (only("datapackage.json", lambda _: b"[]"), "none that Tilewright wrote"),
    "it is of a newer version": (
        only(
            "datapackage.json",
            lambda told: told.replace(b'"tilewright_format": 1', b'"tilewright_format": 9'),
        ),
        "made by a newer Tilewright",
    ),
    "an original is missing": (
        lambda name, content: None if name.startswith("originals/") else content,
        "is missing",
    ),
    "an original is another": (
        lambda name, content: b"another" if name.startswith("originals/") else content,
        "something else than its name says",
    ),
}


@pytest.mark.parametrize("case", DAMAGE)
def test_a_damaged_package_is_refused_and_nothing_of_it_is_kept(package, case):
    change, words = DAMAGE[case]
    rewritten(package, change)
    emptied()

    with pytest.raises(CannotTakeIn, match=words):
        import_studio(package)

    assert not Person.objects.exists()
    assert not Glaze.everything.exists()


@pytest.mark.parametrize(
    "name", ["../outside.csv", "/etc/passwd", "data/../../x.csv", "originals/photos/x.jpg", "run.sh"]
)
def test_a_name_that_leads_elsewhere_is_refused(package, name):
    rewritten(package, same, {name: b"x"})
    emptied()

    with pytest.raises(CannotTakeIn, match="what no package holds"):
        import_studio(package)


def test_a_table_that_swells_when_unpacked_is_read_no_further_than_it_says(package):
    rewritten(package, only("data/glaze.csv", lambda told: told + b"0" * 200_000_000))
    emptied()

    with pytest.raises(CannotTakeIn, match=r"longer than it says|cannot be read"):
        import_studio(package)


def test_what_does_not_hold_together_is_refused_whole(package):
    """Tiles of a body that is in no table: the digest is made anew, as by someone who edits with care."""
    with zipfile.ZipFile(package) as file:
        description = json.loads(file.read("datapackage.json"))
        bodies = file.read("data/claybody.csv").splitlines(keepends=True)[0]
    [told] = [one for one in description["resources"] if one["name"] == "claybody"]
    told["bytes"], told["hash"] = len(bodies), f"sha256:{hashlib.sha256(bodies).hexdigest()}"
    edited = {"data/claybody.csv": bodies, "datapackage.json": json.dumps(description).encode()}
    rewritten(package, lambda name, content: edited.get(name, content))
    emptied()

    with pytest.raises(CannotTakeIn, match="The database refuses it"):
        import_studio(package)
    assert not Tile.everything.exists()


def as_made_at(package: Path, migrations: dict[str, str], lacking: dict[str, set[str]]) -> None:
    """The package as if it had been made when these were the last migrations and tables had no such columns.

    A table that lacks everything is left out. Digests are made anew.
    """
    with zipfile.ZipFile(package) as file:
        description = json.loads(file.read("datapackage.json"))
        held = {name: file.read(name) for name in file.namelist()}
    description["tilewright_migrations"] |= migrations
    edited: dict[str, bytes | None] = {}
    for table, lost in lacking.items():
        [told] = [one for one in description["resources"] if one["name"] == table]
        if "id" in lost:
            description["resources"].remove(told)
            edited[told["path"]] = None
            continue
        schema = told["schema"]
        schema["fields"] = [one for one in schema["fields"] if one["name"] not in lost]
        rows = csv.DictReader(io.StringIO(held[told["path"]].decode(), newline=""))
        text = io.StringIO(newline="")
        lines = csv.DictWriter(text, [one["name"] for one in schema["fields"]], extrasaction="ignore")
        lines.writeheader()
        lines.writerows(rows)
        edited[told["path"]] = kept = text.getvalue().encode()
        told["bytes"], told["hash"] = len(kept), f"sha256:{hashlib.sha256(kept).hexdigest()}"
    edited["datapackage.json"] = json.dumps(description).encode()
    rewritten(package, lambda name, content: edited.get(name, content))


BEFORE_TAGS = {"tiles": "0021_photo_sent_from", "firings": "0007_shelf_room"}
TAGS = {"glaze": {"tags"}, "glaze_history": {"tags"}}


def test_a_package_of_an_earlier_version_is_taken_in_and_what_came_since_begins_empty(package):
    before = told()
    as_made_at(package, BEFORE_TAGS, TAGS)
    emptied()

    import_studio(package)

    assert told() == before
    assert {glaze.tags for glaze in Glaze.everything.all()} == {""}


def test_a_package_that_counted_cones_otherwise_is_counted_as_today(studio, tmp_path):
    stood = {"target_order": CONE_5, "reached_number": Decimal("5.55"), "reached_order": CONE_6}
    Firing.objects.update(**stood)
    Outcome.objects.update(**stood)
    assert export_studio(tmp_path / "studio.zip") == []
    emptied()

    import_studio(tmp_path / "studio.zip")

    assert set(Firing.objects.values_list("reached_order", flat=True)) == {CONE_5}
    assert set(Outcome.objects.filter(firing__isnull=False).values_list("reached_order", flat=True)) == {
        CONE_5
    }


def test_a_table_that_came_since_has_no_rows(package, monkeypatch):
    later = frozenset({("tiles", "leachreport", ""), ("tiles", "historicalleachreport", "")})
    monkeypatch.setattr(earlier, "added_since", lambda _: later)
    before = told()
    as_made_at(package, {}, {"leachreport": {"id"}, "leachreport_history": {"id"}})
    emptied()

    import_studio(package)

    assert told() == before


@pytest.mark.parametrize(
    ("migrations", "lacking"),
    [
        ({}, TAGS),
        (BEFORE_TAGS, {"glaze": {"maker"}}),
        (BEFORE_TAGS, {**TAGS, "glaze_history": {"id"}}),
        ({"tiles": "0001_initial"}, TAGS),
        ({"tiles": "0099_unheard_of"}, TAGS),
        ({"tiles": ""}, TAGS),
    ],
)
def test_what_was_there_before_is_missed_and_a_table_that_was_changed_since_is_not_guessed_at(
    package, migrations, lacking
):
    as_made_at(package, migrations, lacking)
    emptied()

    with pytest.raises(CannotTakeIn, match=r"is not what this version has|was written"):
        import_studio(package)
    assert not Person.objects.exists()


def test_the_last_line_says_where_it_is_and_what_starts_it(package, settings, capsys):
    emptied()
    call_command("import_studio", package)
    said = capsys.readouterr().out

    assert f"files are in {settings.DATA_DIR}." in said
    assert f"TILEWRIGHT_DATA={settings.DATA_DIR} make start" in said


def test_what_is_no_package_is_said_in_a_line(tmp_path):
    other = tmp_path / "other.zip"
    other.write_bytes(b"PK\x03\x04 no zip")

    with pytest.raises(CommandError, match="damaged, or no package"):
        call_command("import_studio", other)
    with pytest.raises(CommandError, match="No such file"):
        call_command("import_studio", tmp_path / "none.zip")


def test_a_disk_that_refuses_leaves_no_half_package(studio, tmp_path, monkeypatch):
    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(zipfile.ZipFile, "writestr", full)

    with pytest.raises(CommandError, match="No space left"):
        call_command("export_studio", tmp_path / "out")
    assert list((tmp_path / "out").iterdir()) == []


def test_a_keeper_has_one_made_and_fetches_it(studio, keeper_client, recorder_client, settings, tmp_path):
    settings.DATA_DIR = tmp_path
    assert "No package yet" in keeper_client.get("/packages/").content.decode()
    keeper_client.post("/packages/make/")
    page = keeper_client.get("/packages/").content.decode()
    [made] = (tmp_path / "exports").iterdir()

    assert made.name in page
    assert b"".join(keeper_client.get(f"/packages/{made.name}").streaming_content) == made.read_bytes()
    assert recorder_client.get("/packages/").status_code == 403
    assert recorder_client.get(f"/packages/{made.name}").status_code == 403
    assert keeper_client.get("/packages/..%2Ftilewright.sqlite3").status_code == 404
    assert connection.vendor in ("sqlite", "postgresql")
