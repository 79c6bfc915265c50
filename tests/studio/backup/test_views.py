"""The keeper's page: a backup made by a button while people work, proven, saved elsewhere."""

from datetime import timedelta
from pathlib import Path

import pytest
from django.urls import reverse
from django.utils import timezone
from django_tasks import task_backends
from django_tasks_db.models import DBTaskResult

from studio.backup import services
from studio.management.commands.worker import StudioWorker
from studio.models import Backup
from studio.work.patience import MOST_TRIES
from tests.factories import FiringFactory, GlazeFactory, TileFactory, fired_outcomes, glaze_tile
from tiles.models import Outcome

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def folder(settings, tmp_path):
    settings.BACKUP_DIR = str(tmp_path / "other-disk")
    return tmp_path / "other-disk"


def test_a_button_makes_a_proven_backup(keeper_client, keeper, folder):
    answer = keeper_client.post(reverse("backup:make"), follow=True)

    backup = Backup.objects.get()
    assert (backup.made_by, backup.proven_at is not None, backup.trouble) == (keeper, True, "")
    assert [*folder.glob("*.zip")]
    assert b"Prove again" in answer.content


def test_a_keeper_saves_the_file_and_others_do_not_see_it(keeper_client, recorder_client, folder):
    backup = services.make_backup(folder)
    address = reverse("backup:file", args=[backup.pk])

    assert b"".join(keeper_client.get(address).streaming_content)[:2] == b"PK"
    assert recorder_client.get(address).status_code == 403
    assert recorder_client.get(reverse("backup:list")).status_code == 403


def test_a_backup_whose_file_is_gone_says_so(keeper_client, folder):
    backup = services.make_backup(folder)
    next(folder.glob("*.zip")).unlink()
    page = keeper_client.post(reverse("backup:prove", args=[backup.pk]), follow=True).content.decode()

    assert "the file is gone" in page
    assert keeper_client.get(reverse("backup:file", args=[backup.pk])).status_code == 404


def test_a_backup_the_studio_thinned_out_is_not_said_to_be_lost(keeper_client, folder):
    older = services.make_backup(folder)
    Backup.objects.update(proven_at=timezone.now(), made_at=timezone.now() - timedelta(minutes=5))
    Backup.objects.filter(pk=services.make_backup(folder).pk).update(proven_at=timezone.now())
    services.thin_out(folder)
    older.refresh_from_db()
    page = keeper_client.get(reverse("backup:list")).content.decode()

    assert older.is_gone
    assert "thinned out" in page
    assert "the file is gone" not in page


def test_a_years_thinned_out_backups_push_none_that_is_kept_off_the_list(keeper_client):
    now = timezone.now()
    Backup.objects.bulk_create(
        Backup(
            place=f"/day-{day}.zip", sha256="0", byte_count=1, made_at=now - timedelta(days=day), is_gone=True
        )
        for day in range(1, 400)
    )
    Backup.objects.create(place="/kept.zip", sha256="1", byte_count=1, made_at=now - timedelta(days=330))
    page = keeper_client.get(reverse("backup:list")).content.decode()

    assert "Save a copy" in page
    assert page.count("the file is gone") == 29


def test_a_backup_damaged_since_says_so(keeper_client, folder):
    backup = services.make_backup(folder)
    place = next(folder.glob("*.zip"))
    content = bytearray(place.read_bytes())
    content[1000] ^= 1
    place.write_bytes(content)
    page = keeper_client.post(reverse("backup:prove", args=[backup.pk]), follow=True).content.decode()

    assert "damaged since" in page


def damaged(folder) -> Backup:
    backup = services.make_backup(folder)
    Backup.objects.filter(pk=backup.pk).update(trouble="It was damaged since.")
    backup.refresh_from_db()
    return backup


def test_a_damaged_backup_is_thrown_away_after_a_second_press_once_a_good_one_is_there(
    keeper_client, recorder_client, folder
):
    bad = damaged(folder)
    keeper_client.post(reverse("backup:make"))
    assert Path(bad.place).exists()
    address = reverse("backup:throw_away", args=[bad.pk])
    assert address in keeper_client.get(reverse("backup:list")).content.decode()
    assert recorder_client.post(address).status_code == 403

    asked = keeper_client.get(address).content.decode()
    assert "Throw it away for good" in asked
    assert Path(bad.place).exists()

    page = keeper_client.post(address, follow=True).content.decode()
    assert not Path(bad.place).exists()
    assert "is thrown away" in page
    assert "the file is gone" in page
    assert len([*folder.glob("*.zip")]) == 1


@pytest.mark.parametrize("other", ["none", "not proven", "proven, but its file is gone"])
def test_a_damaged_backup_stays_while_no_good_one_lies_beside_it(keeper_client, folder, other):
    bad = damaged(folder)
    if other != "none":
        beside = services.make_backup(folder)
    if other == "proven, but its file is gone":
        services.prove_backup(Path(beside.place))
        Path(beside.place).unlink()
    address = reverse("backup:throw_away", args=[bad.pk])

    assert "Throw it away for good" not in keeper_client.get(address).content.decode()
    assert "no proven backup" in keeper_client.post(address, follow=True).content.decode()
    assert Path(bad.place).exists()


def test_a_damaged_backup_does_not_stand_for_its_day_in_place_of_a_good_one(folder):
    good = services.make_backup(folder)
    bad, newest = damaged(folder), services.make_backup(folder)
    now = timezone.now()
    for backup, hours in ((good, 50), (bad, 49), (newest, 0)):
        Backup.objects.filter(pk=backup.pk).update(made_at=now - timedelta(hours=hours))

    assert services.thin_out(folder) == []
    assert all(Path(backup.place).exists() for backup in (good, bad, newest))


def test_a_backup_that_is_whole_is_thrown_away_by_nobody(keeper_client, folder):
    for _ in range(2):
        services.prove_backup(Path(services.make_backup(folder).place))

    for backup in Backup.objects.all():
        assert keeper_client.post(reverse("backup:throw_away", args=[backup.pk])).status_code == 404
        assert Path(backup.place).exists()
    assert "Throw away" not in keeper_client.get(reverse("backup:list")).content.decode()


def test_a_studio_without_another_disk_is_told_what_to_do(keeper_client, settings):
    settings.BACKUP_DIR = ""

    assert "another disk" in keeper_client.get(reverse("backup:list")).content.decode()


def test_the_home_page_asks_a_keeper_for_a_backup_until_one_is_proven(keeper_client, recorder_client, folder):
    tile = glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 2}))
    fired_outcomes(tile, FiringFactory())
    Outcome.objects.update(judged_at=timezone.now())
    assert "Back up the studio" in keeper_client.get("/").content.decode()
    assert "Back up the studio" not in recorder_client.get("/").content.decode()

    keeper_client.post(reverse("backup:make"))
    page = keeper_client.get("/").content.decode()
    assert "Back up the studio" not in page
    assert "Last proven backup" in page


def judged_studio():
    fired_outcomes(glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 2})), FiringFactory())
    Outcome.objects.update(judged_at=timezone.now())


def proven(made_at):
    return Backup.objects.create(
        place=f"/{made_at:%H%M%S}.zip", sha256="0", byte_count=1, made_at=made_at, proven_at=made_at
    )


def found_damaged(backup: Backup) -> None:
    backup.proven_at, backup.trouble = None, "It was damaged since."
    backup.save()


def test_a_damaged_backup_beside_a_good_one_is_said_on_the_home_page(
    keeper_client, recorder_client, viewer_client
):
    judged_studio()
    now = timezone.now()
    older = proven(now - timedelta(hours=2))
    proven(now)
    assert "is not whole" not in keeper_client.get("/").content.decode()

    found_damaged(older)
    page = keeper_client.get("/").content.decode()
    assert f"{timezone.localtime(older.made_at):%H:%M} is not whole" in page
    assert "Last proven backup" in page
    assert "Back up the studio" not in page
    assert "is not whole" not in recorder_client.get("/").content.decode()
    assert "is not whole" not in viewer_client.get("/").content.decode()

    services.note_gone(older)
    assert "is not whole" not in keeper_client.get("/").content.decode()


def test_a_newest_backup_that_is_damaged_asks_for_another_though_an_older_one_is_good(keeper_client):
    judged_studio()
    now = timezone.now()
    proven(now - timedelta(hours=2))
    found_damaged(proven(now - timedelta(hours=1)))
    page = keeper_client.get("/").content.decode()
    assert "Back up the studio" in page
    assert "is not whole; the last proven one is of" in page

    proven(now)
    assert "Back up the studio" not in keeper_client.get("/").content.decode()


@pytest.fixture
def worker(settings):
    """Work is written down and waits, as in a studio; called, it lets a worker do all that can be done now."""
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    yield StudioWorker(batch=True).run
    if hasattr(task_backends._connections, "default"):
        del task_backends._connections.default


def test_a_backup_that_could_not_be_made_says_why_and_the_button_tries_it_at_once(
    keeper_client, keeper, folder, worker
):
    folder.write_text("a file where the folder of the other disk should be")
    keeper_client.post(reverse("backup:make"))
    worker()

    page = keeper_client.get(reverse("backup:list")).content.decode()
    assert "could not be written" in page
    assert "It is tried again by itself" in page
    assert "is being made or proven" not in page

    folder.unlink()
    keeper_client.post(reverse("backup:make"))
    worker()
    page = keeper_client.get(reverse("backup:list")).content.decode()
    assert Backup.objects.filter(made_by=keeper, proven_at__isnull=False).count() == 1
    assert "could not be" not in page


def test_a_backup_that_was_given_up_says_so_until_another_is_made(keeper_client, folder, worker):
    folder.write_text("a file where the folder of the other disk should be")
    keeper_client.post(reverse("backup:make"))
    worker()
    tried = DBTaskResult.objects.exclude(traceback="")
    tried.update(worker_ids=["gone"] * (MOST_TRIES - 1), run_after=timezone.now())
    worker()

    page = keeper_client.get(reverse("backup:list")).content.decode()
    assert "could not be written" in page
    assert "tried again by itself" not in page

    folder.unlink()
    services.make_backup(folder)
    assert "could not be" not in keeper_client.get(reverse("backup:list")).content.decode()


def test_a_backup_is_proven_on_a_machine_without_a_studio(folder, monkeypatch):
    backup = services.make_backup(folder)
    monkeypatch.setattr("studio.backup.queries.place_holds_a_studio", lambda: False)

    assert services.prove_backup(Path(backup.place)).problems == []
    backup.refresh_from_db()
    assert backup.proven_at is None, "there was no list to note it in"
