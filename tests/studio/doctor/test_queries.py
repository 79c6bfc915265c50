"""The doctor finds what is made ill on purpose, and leaves a well studio alone."""

import json
import os
import subprocess
import sys
from datetime import timedelta
from io import StringIO
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import call_command
from django.utils import timezone

from studio.doctor import queries
from studio.doctor.finding import State, is_healthy
from studio.models import Backup
from studio.work.queries import WorkState
from tests.factories import (
    CurveFactory,
    FiringFactory,
    GlazeFactory,
    PasskeyFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tests.tiles.photos import corpus
from tiles.models import Outcome
from tiles.photos.services import original_path, store_photo

pytestmark = pytest.mark.django_db


@pytest.fixture
def photo(recorder, tmp_path):
    taken = tmp_path / "taken.jpg"
    taken.write_bytes(corpus.noisy_jpeg(64, 48))
    with taken.open("rb") as file:
        return store_photo(file, by=recorder)


def found(part: str):
    return list(queries.PARTS[part]())


def ill(part: str) -> str:
    (finding,) = found(part)
    assert finding.state is State.ILL, finding
    assert finding.advice
    return finding.words


def test_a_well_studio_is_healthy(photo):
    findings = list(queries.look_at_everything())

    assert is_healthy(findings), findings
    assert {finding.part for finding in findings} >= {*queries.PARTS}


def test_the_command_ends_with_nought_and_can_speak_json(photo):
    told = StringIO()
    call_command("doctor", "--json", stdout=told)

    assert {"versions", "files", "backup"} <= {finding["part"] for finding in json.loads(told.getvalue())}


def test_a_lost_photo_is_ill_and_ends_the_command_with_one(photo):
    original_path(photo).unlink()

    assert "1 of 1 is missing" in ill("files")
    assert (
        f"Unpack them from the last backup, an ordinary ZIP with the same folders, into {settings.DATA_DIR};"
        in (found("files")[0].advice)
    )
    with pytest.raises(SystemExit) as ended:
        call_command("doctor", stdout=StringIO())
    assert ended.value.code == 1


def test_a_flipped_bit_in_a_photo_is_found(photo):
    content = bytearray(original_path(photo).read_bytes())
    content[-1] ^= 1
    original_path(photo).write_bytes(content)

    assert "damaged" in ill("files")


def test_a_logger_file_that_is_gone_is_found():
    CurveFactory()

    assert "1 of 1 is missing" in ill("files")


def test_conditions_that_are_not_true_are_found():
    tile = glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 2}))
    outcome, *_ = fired_outcomes(tile, FiringFactory())
    Outcome.everything.filter(pk=outcome.pk).update(coats_total=9)

    assert ill("conditions").startswith("1 result carries")


def test_a_clock_that_was_set_back_is_found():
    Backup.objects.create(place="/b", sha256="0", byte_count=1, made_at=timezone.now() + timedelta(days=2))

    assert "yet to come" in ill("clock")


def test_a_full_disk_is_ill_and_a_nearly_full_one_to_be_watched(monkeypatch):
    monkeypatch.setattr(queries, "NEARLY_FULL", 2**62)
    assert found("disk")[0].state is State.WATCH

    monkeypatch.setattr(queries, "TOO_FULL", 2**62)
    assert "free" in ill("disk")


def test_a_key_that_others_can_read_is_ill(settings, tmp_path):
    settings.DATA_DIR = tmp_path
    key = tmp_path / "secret_key"
    key.write_text("k")
    key.chmod(0o644)

    assert "can read" in ill("secret key")


def test_passkeys_made_at_an_address_the_studio_gave_up_are_to_be_watched(settings):
    settings.ALLOWED_HOSTS = ["localhost", "kiln.example"]
    PasskeyFactory(site="kiln.example")
    assert found("passkeys")[0].state is State.WELL

    PasskeyFactory(site="old.kiln.example")
    PasskeyFactory(site="gone.example", person__is_active=False)
    (finding,) = found("passkeys")

    assert finding.state is State.WATCH
    assert "1 passkey was made where this studio does not answer: old.kiln.example." in finding.words


def test_a_backup_counts_once_it_was_proven_and_grows_old():
    backup = Backup.objects.create(place="/b", sha256="0", byte_count=1)
    assert found("backup")[0].state is State.WATCH

    backup.proven_at = timezone.now()
    backup.save()
    assert found("backup")[0].state is State.WELL

    backup.made_at -= timedelta(days=30)
    backup.save()
    assert found("backup")[0].state is State.WATCH


def test_a_backup_that_is_not_whole_is_to_be_watched_beside_a_good_one():
    Backup.objects.create(place="/good.zip", sha256="0", byte_count=1, proven_at=timezone.now())
    Backup.objects.create(place="/bad.zip", sha256="1", byte_count=1, trouble="It was damaged since.")

    good, bad = found("backup")
    assert good.state is State.WELL
    assert (bad.state, "/bad.zip" in bad.words) == (State.WATCH, True)


def test_what_is_to_be_done_can_be_typed_as_it_stands(settings, tmp_path):
    """With the folder of the studio that was looked at: a bare command mends the usual one."""
    settings.DATA_DIR = tmp_path
    (backup,) = found("backup")

    assert f"TILEWRIGHT_DATA={tmp_path} .venv/bin/python manage.py backup FOLDER --prove" in backup.advice


def test_one_of_anything_is_said_as_one(monkeypatch):
    state = WorkState(workers=1, waiting=1, failed=0, has_waited=timedelta())
    monkeypatch.setattr(queries, "work_state", lambda: state)

    assert found("work")[0].words == "1 worker, 1 task waits."


def test_a_part_that_breaks_does_not_hide_the_others(photo, monkeypatch):
    def broken():
        raise OSError("the disk is gone")

    monkeypatch.setitem(queries.PARTS, "disk", broken)
    states = {finding.part: finding.state for finding in queries.look_at_everything()}

    assert states["disk"] is State.ILL
    assert states["files"] is State.WELL


@pytest.mark.parametrize(
    ("kept", "told"),
    [
        (None, ("There is no studio in {}.", "Set TILEWRIGHT_DATA")),
        (b"no database at all " * 100, ("file is not a database", "restore the last proven backup")),
    ],
)
def test_a_studio_that_is_lost_or_broken_is_told_the_way_out(tmp_path, kept, told):
    """In words for who set the wrong folder, or whose disk fails; "older than this Tilewright" is neither."""
    if kept:
        (tmp_path / "tilewright.sqlite3").write_bytes(kept)
    done = doctor_in(tmp_path)

    (line,) = [one for one in done.stdout.splitlines() if one.startswith("ILL    database")]
    assert done.returncode == 1
    assert [words for words in told if words.format(tmp_path) not in line] == [], line
    assert done.stdout.count("ILL") == 1, done.stdout  # said once, not by each part that would ask it
    assert [left.name for left in tmp_path.iterdir()] == (["tilewright.sqlite3"] if kept else [])


def doctor_in(folder: Path) -> subprocess.CompletedProcess[str]:
    """What the doctor says of a studio's folder, in a process of its own."""
    surroundings = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    surroundings |= {
        "TILEWRIGHT_DATA": str(folder),
        "TILEWRIGHT_METRICS_KEY": "shown",
        "DJANGO_SETTINGS_MODULE": "studio.settings",
    }
    command = [sys.executable, str(settings.BASE_DIR / "manage.py"), "doctor"]
    return subprocess.run(command, env=surroundings, capture_output=True, text=True, check=False)


def test_a_folder_that_is_not_there_is_not_made_by_looking(tmp_path):
    done = doctor_in(tmp_path / "misspelt" / "studio")

    assert done.returncode == 1
    assert f"There is no studio in {tmp_path / 'misspelt' / 'studio'}." in done.stdout
    assert done.stdout.count("ILL") == 1, done.stdout
    assert not list(tmp_path.iterdir())
