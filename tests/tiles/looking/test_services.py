"""A photo is looked at after the answer: all of it decoded, prepared, filed; what dies on the way is done again."""

import io
import os
import signal
import subprocess
import sys
from datetime import timedelta

import pytest
from django.db import connection
from django.utils import timezone
from django_tasks import TaskResultStatus
from django_tasks_db.models import DBTaskResult
from PIL import Image

from studio.management.commands.worker import StudioWorker
from studio.work.services import say_goodbye
from tests.factories import PhotoFactory, TileFactory
from tests.tiles.photos import corpus
from tests.tiles.photos.test_services import showing
from tiles.looking import services
from tiles.looking.tasks import look_at_forgotten_photos, look_at_photo_soon
from tiles.models import Photo
from tiles.photos.queries import original_path, photo_store
from tiles.photos.renditions import Size
from tiles.photos.services import is_still_to_come, rendition_path, store_photo


def is_prepared(photo: Photo) -> bool:
    """Whether all sizes are there, and whole."""
    places = [photo_store().rendition(photo.sha256, services.rendition_name(size)) for size in Size]
    return all(place.exists() and Image.open(place).load() for place in places)


@pytest.mark.django_db
def test_a_photo_is_prepared_looked_at_and_filed(stored):
    tile = TileFactory(number=1042)
    photo = stored(showing("1042-9"))

    assert is_prepared(photo)
    assert photo.looked_at is not None
    assert photo.look["codes"][0]["number"] == 1042
    assert [filed.tile for filed in photo.filings.all()] == [tile]


@pytest.mark.django_db
def test_looking_twice_is_as_good_as_once(stored):
    TileFactory(number=1042)
    photo = stored(showing("1042-9"))
    services.look_at_photo(photo)

    assert photo.filings.count() == 1
    assert photo.history.count() == Photo.objects.get().history.count()


DAMAGED_WITHIN = corpus.REFUSED["PNG without its end"][0]


@pytest.mark.django_db
def test_a_photo_that_turns_out_damaged_says_so_and_its_file_is_kept(stored, files_kept):
    photo = stored(DAMAGED_WITHIN())

    assert "damaged" in photo.damage
    assert photo.looked_at is not None
    assert "damaged" in photo.tray_reason
    assert [file.read_bytes() for file in files_kept()] == [DAMAGED_WITHIN()]


@pytest.mark.django_db
def test_a_damaged_photo_is_taken_off_its_tile_and_names_it(stored):
    tile = TileFactory(number=1042)
    photo = stored(DAMAGED_WITHIN(), tile=tile)

    assert not photo.filings.exists()
    assert photo.tray_reason.endswith("It was sent for tile 1042-9.")


@pytest.mark.django_db
def test_a_damaged_photo_is_not_shown(stored, recorder_client):
    photo = stored(DAMAGED_WITHIN())

    with pytest.raises(FileNotFoundError):
        rendition_path(photo, Size.SMALL)


@pytest.mark.django_db
def test_a_disk_that_fails_is_no_damage_of_the_photo(stored, files_kept):
    photo = stored()
    photo_store().forget_renditions(photo.sha256)
    files_kept()[0].unlink()

    with pytest.raises(FileNotFoundError):
        services.look_at_photo(photo)
    assert Photo.objects.get().damage == ""


@pytest.mark.django_db
def test_a_photo_forgotten_for_an_hour_is_looked_at(stored):
    photo = stored(corpus.jpeg())
    fresh = PhotoFactory()
    an_hour_ago = timezone.now() - timedelta(hours=2)
    Photo.objects.filter(pk=photo.pk).update(looked_at=None, stored_at=an_hour_ago)

    assert look_at_forgotten_photos.call() == 1
    photo.refresh_from_db()
    fresh.refresh_from_db()
    assert (photo.looked_at is None, fresh.looked_at is None) == (False, True)


def test_a_photo_is_stored_before_anybody_looks_and_still_to_come(listed, recorder):
    photo = store_photo(io.BytesIO(corpus.jpeg()), by=recorder)

    assert is_still_to_come(photo, Size.SMALL)
    assert DBTaskResult.objects.get().args_kwargs["args"] == [photo.pk]

    Photo.objects.update(stored_at=timezone.now() - timedelta(minutes=10))
    assert not is_still_to_come(Photo.objects.get(), Size.SMALL), (
        "no worker seems to run: it is made on demand"
    )


def test_where_the_row_is_refused_no_work_is_left(listed, recorder, monkeypatch):
    class Refused(Exception):
        """The database went away."""

    def refuse(*args: object) -> None:
        raise Refused

    monkeypatch.setattr(type(look_at_photo_soon), "enqueue", refuse)
    with pytest.raises(Refused):
        store_photo(io.BytesIO(corpus.jpeg()), by=recorder)

    assert not Photo.everything.exists(), "never a row nobody would look at"


WORK_AND_DIE = """
import os, signal, sys
import django
from django.conf import settings
step, folder, database = sys.argv[1:]
settings.DATABASES["default"]["NAME"] = database
settings.PHOTO_DIR = folder
django.setup()
from pathlib import Path
from django_tasks_db.models import DBTaskResult
from studio.management.commands import worker
from tiles.looking import services
def die(*_, **__): os.kill(os.getpid(), signal.SIGKILL)
if step == "claimed": worker.StudioWorker.run_task = die
if step == "decoding": services.renditions.renditions = die
if step == "a rendition": Path.replace = die
if step == "renditions made": services.look.look_at = die
if step == "looked": services.tray.file_what_is_in_view = die
if step == "filed": DBTaskResult.set_successful = die
worker.EVERY_DAY = []
worker.StudioWorker("killed", batch=True).run()
"""


@pytest.mark.skipif(os.name == "nt", reason="no such signal there")
@pytest.mark.parametrize("step", ["claimed", "decoding", "a rendition", "renditions made", "looked", "filed"])
def test_a_worker_killed_at_any_step_loses_nothing(step, listed, recorder, photo_store, monkeypatch):
    monkeypatch.setattr("studio.management.commands.worker.EVERY_DAY", [])
    tile = TileFactory(number=1042)
    photo = store_photo(io.BytesIO(showing("1042-9")), by=recorder)
    database = str(connection.settings_dict["NAME"])

    killed = subprocess.run(
        [sys.executable, "-c", WORK_AND_DIE, step, str(photo_store), database],
        env={**os.environ, "DJANGO_SETTINGS_MODULE": "studio.settings"},
        check=False,
    )
    assert killed.returncode == -signal.SIGKILL
    assert original_path(photo).read_bytes() == showing("1042-9")
    assert DBTaskResult.objects.get().status == TaskResultStatus.RUNNING

    StudioWorker("next", batch=True).run()
    assert DBTaskResult.objects.get().status == TaskResultStatus.RUNNING, "the other may still live"

    say_goodbye("killed")
    StudioWorker("next but one", batch=True).run()
    photo.refresh_from_db()
    assert DBTaskResult.objects.get().status == TaskResultStatus.SUCCESSFUL
    assert is_prepared(photo)
    assert photo.looked_at is not None
    assert [filed.tile for filed in photo.filings.all()] == [tile]
