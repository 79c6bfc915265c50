"""The keeper's page: a backup made by a button while people work, proven, saved elsewhere."""

import pytest
from django.urls import reverse
from django.utils import timezone

from studio.backup import services
from studio.models import Backup
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


def test_a_backup_damaged_since_says_so(keeper_client, folder):
    backup = services.make_backup(folder)
    place = next(folder.glob("*.zip"))
    content = bytearray(place.read_bytes())
    content[1000] ^= 1
    place.write_bytes(content)
    page = keeper_client.post(reverse("backup:prove", args=[backup.pk]), follow=True).content.decode()

    assert "damaged since" in page


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
