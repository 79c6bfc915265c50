"""Photos are kept file first, once each, and filed where they belong or left in the tray."""

import io
import os
import signal
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime

import pytest
from django.db import connection
from django_tasks_db.models import DBTaskResult
from PIL import ExifTags, Image

from tests.factories import FiringFactory, PlacementFactory, TileFactory
from tests.tiles.photos import corpus
from tests.tiles.photos.test_codes import ADDRESS, scene
from tiles.models import Photo
from tiles.photos import services
from tiles.photos.renditions import Size
from tiles.vocabulary import FiledBy

pytestmark = pytest.mark.django_db

FIRED_ON = datetime(2026, 10, 14, 7, 0, tzinfo=UTC)


def taken(at: str) -> bytes:
    """A photo whose camera says when."""
    notes = Image.Exif()
    notes.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal] = at
    return corpus.jpeg(exif=notes)


def showing(*labels: str) -> bytes:
    """A photo with these tiles' codes in view."""
    placed = [(ADDRESS + label, (100 + 500 * place, 300), 8) for place, label in enumerate(labels)]
    return corpus.saved(scene(*placed), "JPEG", quality=85)


def test_a_photo_is_kept_with_all_that_is_known_of_it(stored, recorder, files_kept):
    content = corpus.telling_jpeg()

    photo = stored(content, name="C:\\phone\\IMG_0001\x00.jpg")

    photo.refresh_from_db()
    assert (photo.format, photo.width, photo.height) == ("JPEG", 120, 80)
    assert photo.byte_count == len(content)
    assert photo.original_name == "IMG_0001.jpg"
    assert photo.taken_at == datetime(2026, 10, 14, 14, 5, 9, tzinfo=UTC)
    assert photo.stored_by == recorder
    assert photo.history.count() >= 1
    (file,) = files_kept()
    assert file.read_bytes() == content


def test_a_camera_clock_without_an_offset_is_the_studios(stored, settings):
    settings.TIME_ZONE = "Europe/Lisbon"

    photo = stored(taken("2026:07:14 16:05:09"))

    assert photo.taken_at == datetime(2026, 7, 14, 15, 5, 9, tzinfo=UTC)


def test_the_same_photo_sent_twice_is_one_photo(stored, files_kept):
    first = stored(corpus.jpeg(), name="a.jpg")
    second = stored(corpus.jpeg(), name="b.jpg")

    assert first == second
    assert Photo.objects.count() == 1
    assert len(files_kept()) == 1


def test_the_same_photo_sent_for_two_tiles_is_filed_to_both(stored):
    one, other = TileFactory(), TileFactory()
    stored(corpus.jpeg(), tile=one)
    photo = stored(corpus.jpeg(), tile=other)

    assert {filed.tile for filed in photo.filings.all()} == {one, other}


def test_the_same_photo_sent_twice_for_a_tile_is_filed_once(stored):
    tile = TileFactory()
    stored(corpus.jpeg(), tile=tile)
    photo = stored(corpus.jpeg(), tile=tile)

    assert photo.filings.count() == 1


@pytest.mark.django_db(transaction=True)
def test_a_photo_sent_many_times_at_once_is_one_photo_filed_once(recorder, files_kept):
    tile = TileFactory()

    def send(_: int) -> None:
        try:
            services.store_photo(io.BytesIO(corpus.jpeg()), by=recorder, tile=tile)
        finally:
            connection.close()

    with ThreadPoolExecutor(8) as senders:
        list(senders.map(send, range(16)))

    assert Photo.objects.count() == 1
    assert tile.photo_filings.count() == 1
    assert len(files_kept()) == 1


def test_a_refused_file_leaves_neither_file_nor_row(stored, files_kept):
    with pytest.raises(services.PhotoRefused, match="EPS"):
        stored(corpus.EPS)

    assert files_kept() == []
    assert not Photo.everything.exists()


def test_a_full_disk_leaves_no_row(stored, monkeypatch):
    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)

    with pytest.raises(OSError, match="No space"):
        stored(corpus.jpeg())

    assert not Photo.everything.exists()


def test_a_photo_whose_file_was_lost_is_mended_when_it_is_sent_again(stored, files_kept):
    photo = stored(corpus.jpeg())
    files_kept()[0].unlink()

    again = stored(corpus.jpeg())

    assert again == photo
    assert len(files_kept()) == 1


def test_a_photo_sent_again_comes_out_of_the_bin(stored, recorder):
    photo = stored(corpus.jpeg())
    services.bin_photo(photo, by=recorder)

    stored(corpus.jpeg())

    assert Photo.objects.get() == photo


def test_the_row_is_made_only_when_the_file_is_there(stored, monkeypatch, files_kept):
    seen = []
    make = Photo.everything.get_or_create

    def watch(**given: object) -> object:
        seen.append(len(files_kept()))
        return make(**given)

    monkeypatch.setattr(Photo.everything, "get_or_create", watch)
    stored(corpus.jpeg())

    assert seen == [1]


STORE_AND_DIE = """
import io, os, signal, sys
import django
django.setup()
from django.conf import settings
from pathlib import Path
from firings import disk
from tiles.photos import services, store
step, folder, database = sys.argv[1:]
settings.PHOTO_DIR = folder
settings.DATABASES["default"]["NAME"] = database
def die(*_, **__): os.kill(os.getpid(), signal.SIGKILL)
if step == "writing": store.os.fsync = die
if step == "naming": Path.replace = die
if step == "named": disk.fsync_folder = die
if step == "before the row": services._kept_row = die
services.store_photo(io.BytesIO(sys.stdin.buffer.read()), by=None)
if step == "after the row": die()
"""


@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif(os.name == "nt", reason="no such signal there")
@pytest.mark.parametrize("step", ["writing", "naming", "named", "before the row", "after the row"])
def test_a_process_killed_at_any_step_leaves_no_row_without_its_file(step, photo_store):
    database = connection.settings_dict["NAME"]
    environment = {**os.environ, "DJANGO_SETTINGS_MODULE": "studio.settings"}

    done = subprocess.run(
        [sys.executable, "-c", STORE_AND_DIE, step, str(photo_store), str(database)],
        input=corpus.jpeg(),
        env=environment,
        check=False,
    )

    assert done.returncode == -signal.SIGKILL
    assert Photo.objects.count() == DBTaskResult.objects.count() == (step == "after the row")
    for photo in Photo.objects.all():
        assert services.original_path(photo).read_bytes() == corpus.jpeg()


def test_a_photo_for_a_place_in_a_firing_is_filed_there_whatever_is_in_view(stored):
    TileFactory(number=1042)
    placement = PlacementFactory(firing=FiringFactory(fired=True))
    zone = placement.tile.zones.first()

    photo = stored(showing("1042-9"), placement=placement, zone=zone)

    (filed,) = photo.filings.all()
    assert (filed.tile, filed.placement, filed.zone) == (placement.tile, placement, zone)
    assert filed.filed_how == FiledBy.UNLOADING.value


def test_a_binned_photo_comes_back_filed_as_it_was(stored, recorder):
    tile = TileFactory()
    photo = stored(corpus.jpeg(), tile=tile)

    services.bin_photo(photo, by=recorder)
    assert not Photo.objects.of_tile(tile).exists()

    services.unbin_photo(Photo.everything.get())
    assert list(Photo.objects.of_tile(tile)) == [photo]


def test_renditions_are_made_once_and_made_again_when_the_cache_is_emptied(stored):
    photo = stored(corpus.noisy_jpeg(2400, 1800))

    small = services.rendition_path(photo, "small")
    assert Image.open(small).size == (320, 240)
    assert {services.rendition_path(photo, size).exists() for size in Size} == {True}
    small.unlink()

    assert services.rendition_path(photo, Size.SMALL).exists()


def test_a_lost_original_is_told_apart(stored, files_kept):
    photo = stored()
    services.photo_store().forget_renditions(photo.sha256)
    files_kept()[0].unlink()

    with pytest.raises(FileNotFoundError):
        services.rendition_path(photo, "small")


def test_a_photo_stored_from_a_file_like_object_leaves_it_open(recorder):
    content = io.BytesIO(corpus.jpeg())

    services.store_photo(content, by=recorder)

    assert not content.closed
