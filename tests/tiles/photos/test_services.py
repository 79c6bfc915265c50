"""Photos are kept file first, once each, and filed where they belong or left in the tray."""

import io
import os
import signal
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta

import pytest
from django.db import DatabaseError, connection
from PIL import ExifTags, Image

from firings.vocabulary import FiringState
from tests.factories import FiringFactory, PlacementFactory, TileFactory
from tests.tiles.photos import corpus
from tests.tiles.photos.test_codes import ADDRESS, scene
from tiles import numbers
from tiles.models import Photo, PhotoFiling
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
from tiles.photos import services, store
step, folder, database = sys.argv[1:]
settings.PHOTO_DIR = folder
settings.DATABASES["default"]["NAME"] = database
def die(*_, **__): os.kill(os.getpid(), signal.SIGKILL)
if step == "writing": store.os.fsync = die
if step == "naming": Path.replace = die
if step == "named": store._fsync_folder = die
if step == "before the row": services._row = die
services.store_photo(io.BytesIO(sys.stdin.buffer.read()), by=None)
if step == "after the row": die()
"""


@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif(os.name == "nt", reason="no such signal there")
@pytest.mark.parametrize("step", ["writing", "naming", "named", "before the row", "after the row"])
def test_a_process_killed_at_any_step_leaves_no_row_without_its_file(step, settings, photo_store):
    if settings.DATABASES["default"]["ENGINE"] != "django.db.backends.sqlite3":
        pytest.skip("the order of file and row does not depend on the database")
    database = settings.DATABASES["default"]["NAME"]
    environment = {**os.environ, "DJANGO_SETTINGS_MODULE": "studio.settings"}

    done = subprocess.run(
        [sys.executable, "-c", STORE_AND_DIE, step, str(photo_store), str(database)],
        input=corpus.jpeg(),
        env=environment,
        check=False,
    )

    assert done.returncode == -signal.SIGKILL
    assert Photo.objects.count() == (step == "after the row")
    for photo in Photo.objects.all():
        assert services.original_path(photo).read_bytes() == corpus.jpeg()


def test_the_only_code_in_view_files_the_photo_to_its_tile(stored):
    tile = TileFactory(number=1042)

    photo = stored(showing("1042-9"))

    (filed,) = photo.filings.all()
    assert filed.tile == tile
    assert filed.filed_how == FiledBy.CODE.value
    x, y, width, height = filed.region
    assert 0 < x < x + width < 1
    assert 0 < y < y + height < 1


def test_without_a_code_it_waits_in_the_tray_with_the_reason(stored):
    photo = stored(corpus.jpeg())

    assert photo.tray_reason == "No tile code in view."
    assert list(Photo.objects.unfiled()) == [photo]


def test_two_codes_in_view_are_not_guessed_between(stored):
    TileFactory(number=1042)
    other = TileFactory(number=1057)

    photo = stored(showing("1042-9", other.label))

    assert not photo.filings.exists()
    assert "1042-9" in photo.tray_reason
    assert other.label in photo.tray_reason


def test_a_code_of_a_tile_we_do_not_have_is_named_in_the_tray(stored):
    photo = stored(showing("1042-9"))

    assert "1042-9" in photo.tray_reason
    assert not photo.filings.exists()


def test_a_photo_for_a_place_in_a_firing_is_filed_there_whatever_is_in_view(stored):
    TileFactory(number=1042)
    placement = PlacementFactory(firing=FiringFactory(fired=True))
    zone = placement.tile.zones.first()

    photo = stored(showing("1042-9"), placement=placement, zone=zone)

    (filed,) = photo.filings.all()
    assert (filed.tile, filed.placement, filed.zone) == (placement.tile, placement, zone)
    assert filed.filed_how == FiledBy.UNLOADING.value


def fired_at(tile, started_at, state=FiringState.FIRED):
    return PlacementFactory(tile=tile, firing=FiringFactory(state=state.value, started_at=started_at))


def test_a_photo_shows_the_tile_after_its_only_firing(stored):
    placement = PlacementFactory(firing=FiringFactory(fired=True))

    photo = stored(corpus.jpeg(), tile=placement.tile)

    assert photo.filings.get().placement == placement


def test_a_refired_tile_is_shown_after_the_last_firing_before_the_photo(stored):
    tile = TileFactory()
    first = fired_at(tile, FIRED_ON)
    fired_at(tile, FIRED_ON + timedelta(days=14))

    between = stored(taken("2026:10:20 12:00:00"), tile=tile)

    assert between.filings.get().placement == first


def test_without_the_cameras_clock_a_refired_tile_leaves_the_firing_open(stored):
    tile = TileFactory()
    fired_at(tile, FIRED_ON)
    fired_at(tile, FIRED_ON + timedelta(days=14))

    assert stored(corpus.jpeg(), tile=tile).filings.get().placement is None


@pytest.mark.parametrize("state", [FiringState.PLANNED, FiringState.LOADED])
def test_a_photo_before_the_fire_shows_no_firing(stored, state):
    tile = TileFactory()
    fired_at(tile, None, state)

    assert stored(corpus.jpeg(), tile=tile).filings.get().placement is None


def test_a_photo_taken_before_the_firing_does_not_show_its_result(stored):
    tile = TileFactory()
    fired_at(tile, FIRED_ON)

    assert stored(taken("2026:10:01 12:00:00"), tile=tile).filings.get().placement is None


def test_a_filing_learns_its_firing_later(stored):
    tile = TileFactory()
    fired_at(tile, FIRED_ON)
    second = fired_at(tile, FIRED_ON + timedelta(days=14))
    stored(corpus.jpeg(), tile=tile)

    photo = stored(corpus.jpeg(), placement=second)

    assert photo.filings.get().placement == second


def test_a_typed_number_files_the_photo(stored, recorder):
    tile = TileFactory(number=1042)

    filed = services.file_by_number(stored(), "1042 9", by=recorder)

    assert filed.tile == tile
    assert filed.filed_by == recorder
    assert not Photo.objects.unfiled().exists()


@pytest.mark.parametrize(("typed", "words"), [("1042-8", "wrong"), ("1042-9", "no tile"), ("tile", "digits")])
def test_a_number_that_leads_to_no_tile_is_refused_with_words(stored, recorder, typed, words):
    with pytest.raises(ValueError, match=words):
        services.file_by_number(stored(), typed, by=recorder)

    assert not PhotoFiling.objects.exists()


def test_a_photo_taken_off_its_tile_is_back_in_the_tray_with_who_did_it(stored, recorder):
    tile = TileFactory()
    photo = stored(corpus.jpeg(), tile=tile)

    services.unfile_photo(photo.filings.get(), by=recorder)

    photo.refresh_from_db()
    assert tile.label in photo.tray_reason
    assert "Rowan Reed" in photo.tray_reason
    assert list(Photo.objects.unfiled()) == [photo]


def test_taking_a_photo_off_is_undone_as_it_was(stored, recorder):
    placement = PlacementFactory(firing=FiringFactory(fired=True))
    zone = placement.tile.zones.first()
    photo = stored(corpus.jpeg(), placement=placement, zone=zone)

    undo = services.unfile_photo(photo.filings.get(), by=recorder)
    services.refile_photo(undo, by=recorder)

    filed = photo.filings.get()
    assert (filed.placement, filed.zone, filed.filed_how) == (placement, zone, FiledBy.UNLOADING.value)


def test_a_binned_photo_comes_back_filed_as_it_was(stored, recorder):
    tile = TileFactory()
    photo = stored(corpus.jpeg(), tile=tile)

    services.bin_photo(photo, by=recorder)
    assert not Photo.objects.of_tile(tile).exists()

    services.unbin_photo(Photo.everything.get())
    assert list(Photo.objects.of_tile(tile)) == [photo]


def test_filing_is_all_or_nothing(stored, recorder, monkeypatch):
    photo, tile = stored(), TileFactory()
    monkeypatch.setattr(PhotoFiling, "save", lambda *_, **__: (_ for _ in ()).throw(DatabaseError))

    with pytest.raises(DatabaseError):
        services.file_photo(photo, tile, by=recorder)

    assert not photo.filings.exists()


def test_renditions_are_made_once_and_made_again_when_the_cache_is_emptied(stored):
    photo = stored(corpus.noisy_jpeg(2400, 1800))

    small = services.rendition_path(photo, "small")
    assert Image.open(small).size == (320, 240)
    assert {services.rendition_path(photo, size).exists() for size in Size} == {True}
    small.unlink()

    assert services.rendition_path(photo, Size.SMALL).exists()


def test_a_lost_original_is_told_apart(stored, files_kept):
    photo = stored()
    files_kept()[0].unlink()

    with pytest.raises(FileNotFoundError):
        services.rendition_path(photo, "small")


def test_every_way_a_tile_number_is_typed_files_the_photo(stored, recorder):
    tile = TileFactory()

    for typed in (tile.label, tile.label.replace("-", ""), f"#{tile.label}", tile.label.replace("-", " ")):
        assert services.file_by_number(stored(), typed, by=recorder).tile == tile
    assert numbers.read(tile.label) == tile.number


def test_a_photo_stored_from_a_file_like_object_leaves_it_open(recorder):
    content = io.BytesIO(corpus.jpeg())

    services.store_photo(content, by=recorder)

    assert not content.closed
