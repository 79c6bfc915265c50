"""A backup made while people work, proven by restoring it, and brought back into an empty place."""

import os
import secrets
import stat
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from django.conf import settings as live_settings
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import connection

from studio.backup import services
from studio.models import Backup
from tests.every_table import all_told, fill_every_table
from tests.factories import CurveFactory, GlazeFactory, TileFactory
from tests.tiles.photos import corpus
from tiles.models import Glaze, Photo
from tiles.photos.services import original_path, store_photo

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def photo(recorder, tmp_path) -> Photo:
    """A studio with a tile, a glaze and a photo."""
    TileFactory()
    GlazeFactory(name="Harbour")
    taken = tmp_path / "taken.jpg"
    taken.write_bytes(corpus.noisy_jpeg(320, 240))
    with taken.open("rb") as file:
        return store_photo(file, by=recorder, name="taken.jpg")


def backed_up(folder: Path) -> Path:
    return Path(services.make_backup(folder).place)


def test_a_backup_holds_the_rows_and_the_photos(photo, tmp_path):
    proof = services.prove_backup(backed_up(tmp_path / "backups"))

    assert proof.problems == []
    assert proof.manifest.tables["tiles_glaze"] == Glaze.everything.count()
    assert [entry.sha256 for entry in proof.manifest.files[1:]] == [photo.sha256]
    assert Backup.objects.get().proven_at is not None


@pytest.mark.skipif(sys.platform == "win32", reason="who may read a file is settled otherwise there")
def test_a_backup_is_read_by_its_owner_only(photo, tmp_path):
    """It holds whatever the studio's key is kept for, and often lies on a disk that others open too."""
    before = os.umask(0o022)
    try:
        backup = backed_up(tmp_path / "backups")
    finally:
        os.umask(before)

    assert stat.S_IMODE(backup.stat().st_mode) == 0o600


def test_a_photo_that_was_lost_or_damaged_on_disk_is_named(photo, tmp_path):
    original_path(photo).write_bytes(b"rot")
    backup = services.make_backup(tmp_path / "backups")
    assert backup.remarks == [
        f"photos/originals/{photo.sha256[:2]}/{photo.sha256[2:4]}/{photo.sha256}.jpg is not what it was"
    ]

    original_path(photo).unlink()
    proof = services.prove_backup(backed_up(tmp_path / "backups"))
    assert len(proof.problems) == 1
    assert "is missing" in proof.problems[0]


@pytest.fixture
def data_folder(tmp_path, settings):
    """A data folder with its photos where a studio has them."""
    folder = tmp_path / "data"
    settings.DATA_DIR, settings.PHOTO_DIR = folder, folder / "photos"
    return folder


def test_a_lost_photo_is_unpacked_from_a_backup_into_the_data_folder(data_folder, photo, tmp_path):
    """As the doctor advises: a backup's folders are those of the studio."""
    backup = services.make_backup(tmp_path / "backups")
    content = original_path(photo).read_bytes()
    original_path(photo).unlink()
    with zipfile.ZipFile(backup.place) as kept:
        kept.extract(next(name for name in kept.namelist() if photo.sha256 in name), data_folder)

    assert original_path(photo).read_bytes() == content


def test_a_logger_file_that_is_gone_is_named(tmp_path, recorder):
    CurveFactory(original_sha256="c" * 64)

    assert services.make_backup(tmp_path).remarks == [f"curves/cc/cc/{'c' * 64} is missing"]


def test_two_backups_of_one_second_have_two_names(photo, tmp_path):
    assert len({backed_up(tmp_path) for _ in range(3)}) == 3
    assert sorted(tmp_path.glob(".making-*")) == []


def test_a_folder_that_cannot_be_written_is_refused_in_words(tmp_path, db):
    (tmp_path / "file").write_text("in the way")

    with pytest.raises(services.CannotBackUp, match="could not be written"):
        services.make_backup(tmp_path / "file")


def test_a_disk_without_room_is_refused_before_anything_is_written(tmp_path, db, monkeypatch):
    monkeypatch.setattr(services, "ROOM_TO_SPARE_BYTES", 2**60)

    with pytest.raises(services.CannotBackUp, match="Make room"):
        services.make_backup(tmp_path)
    assert [*tmp_path.glob("*.zip")] == []


def test_a_damaged_backup_fails_the_command_and_is_noted(photo, tmp_path):
    place = backed_up(tmp_path / "backups")
    content = bytearray(place.read_bytes())
    content[len(content) // 2] ^= 4
    place.write_bytes(content)

    with pytest.raises(CommandError, match="damaged since"):
        call_command("verify_backup", str(place))
    assert "damaged since" in Backup.objects.get().trouble
    assert not Backup.objects.proven().exists()


def test_older_backups_are_thinned_out_and_the_last_proven_one_stays(photo, tmp_path):
    made = [services.make_backup(tmp_path) for _ in range(4)]
    services.prove_backup(Path(made[1].place))
    gone = services.thin_out(tmp_path)

    assert {*gone} == {Path(made[0].place), Path(made[2].place)}
    assert {*tmp_path.glob("*.zip")} == {Path(made[1].place), Path(made[3].place)}


def test_thinning_out_leaves_files_that_are_not_ours(photo, tmp_path):
    for _ in range(2):
        services.make_backup(tmp_path)
    (tmp_path / "tilewright-20200101-000000.zip").write_bytes(b"somebody's own")
    services.thin_out(tmp_path)

    assert (tmp_path / "tilewright-20200101-000000.zip").exists()


@pytest.fixture
def empty_place(tmp_path):
    """What a process needs to work in an empty place of the same kind of database."""
    surroundings = {
        **os.environ,
        "TILEWRIGHT_DATA": str(tmp_path / "elsewhere"),
        "DJANGO_SETTINGS_MODULE": "studio.settings",
    }
    if connection.vendor == "sqlite":
        yield {**surroundings, "DATABASE_URL": ""}
        return
    name = f"restored_{secrets.token_hex(4)}"
    with connection.cursor() as cursor:
        cursor.execute(f'CREATE DATABASE "{name}" TEMPLATE template0')
    server, _, _ = os.environ["DATABASE_URL"].rpartition("/")
    yield {**surroundings, "DATABASE_URL": f"{server}/{name}"}
    with connection.cursor() as cursor:
        cursor.execute(f'DROP DATABASE "{name}"')


def manage(surroundings: dict[str, str], *words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, str(live_settings.BASE_DIR / "manage.py"), *words]
    return subprocess.run(command, env=surroundings, capture_output=True, text=True, check=False)


def test_a_studio_comes_back_whole_in_an_empty_place_and_only_there(photo, tmp_path, empty_place):
    place = backed_up(tmp_path / "backups")

    first = manage(empty_place, "restore", str(place))
    assert first.returncode == 0, first.stderr
    # Without its folder, what is started is the studio that was there before.
    assert f"TILEWRIGHT_DATA={tmp_path / 'elsewhere'} " in first.stdout
    kept = tmp_path / "elsewhere" / "photos" / "originals" / photo.sha256[:2] / photo.sha256[2:4]
    assert (kept / f"{photo.sha256}.jpg").read_bytes() == original_path(photo).read_bytes()
    again = backed_up_elsewhere(empty_place, tmp_path / "again")
    assert services.prove_backup(again).manifest.tables == services.prove_backup(place).manifest.tables

    second = manage(empty_place, "restore", str(place))
    assert second.returncode != 0
    assert "There is a studio in this place already" in second.stderr


def backed_up_elsewhere(surroundings: dict[str, str], folder: Path) -> Path:
    done = manage(surroundings, "backup", str(folder))
    assert done.returncode == 0, done.stderr
    return next(folder.glob("*.zip"))


TELLS_ALL = """
import django
django.setup()
from tests.every_table import all_told
print("\\n".join(all_told(but=["studio_backup"])))
"""


def test_every_table_comes_back_row_for_row(keeper, tmp_path, empty_place):
    """But for the note of the backup itself, which is written when it is made."""
    fill_every_table(by=keeper)
    before = all_told(but=["studio_backup"])

    restored = manage(empty_place, "restore", str(backed_up(tmp_path / "backups")))
    told = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", TELLS_ALL],
        env=empty_place,
        cwd=live_settings.BASE_DIR,
        capture_output=True,
        text=True,
        check=False,
    )

    assert restored.returncode == 0, restored.stderr
    assert told.stdout.splitlines() == before, told.stderr
