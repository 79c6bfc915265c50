"""Photographs on disk: whole or not there, under the name of what they hold."""

import hashlib
import io
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tiles.photos import store
from tiles.photos.store import PhotoStore

CONTENT = b"a photo of tile 1042-9" * 1000
SHA256 = hashlib.sha256(CONTENT).hexdigest()


@pytest.fixture
def photos(tmp_path) -> PhotoStore:
    return PhotoStore(tmp_path / "photos")


def keep(photos: PhotoStore, content: bytes = CONTENT) -> Path:
    """Take a file in and keep it."""
    with photos.take_in(io.BytesIO(content)) as arrival:
        return photos.keep_original(arrival, "jpg")


def files_under(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.is_file()]


def test_an_original_is_kept_byte_for_byte_under_its_hash(photos):
    place = keep(photos)

    assert place.read_bytes() == CONTENT
    assert place.relative_to(photos.folder).as_posix() == f"originals/{SHA256[:2]}/{SHA256[2:4]}/{SHA256}.jpg"
    assert files_under(photos.folder) == [place]


def test_the_same_photo_twice_is_one_file(photos):
    first = keep(photos)
    written_at = first.stat().st_mtime_ns

    second = keep(photos)

    assert second == first
    assert second.stat().st_mtime_ns == written_at
    assert len(files_under(photos.folder)) == 1


def test_an_original_that_a_failing_disk_cut_short_is_mended_when_it_is_sent_again(photos):
    place = keep(photos)
    place.write_bytes(CONTENT[:100])

    keep(photos)

    assert place.read_bytes() == CONTENT


def test_what_arrived_is_hashed_as_it_is_written_and_can_be_read_back(photos):
    with photos.take_in(io.BytesIO(CONTENT)) as arrival:
        arrival.file.seek(0)

        assert arrival.sha256 == SHA256
        assert arrival.byte_count == len(CONTENT)
        assert arrival.file.read() == CONTENT


def test_what_arrived_and_is_not_kept_goes_away(photos):
    with photos.take_in(io.BytesIO(CONTENT)):
        assert len(files_under(photos.folder)) == 1

    assert files_under(photos.folder) == []


def test_a_full_disk_leaves_nothing_behind(photos, monkeypatch):
    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(store.os, "fsync", full)

    with pytest.raises(OSError, match="No space"):
        keep(photos)

    assert files_under(photos.folder) == []


def test_the_file_is_on_the_disk_before_it_has_its_name(photos, monkeypatch):
    seen = []
    fsync, replace = os.fsync, Path.replace
    monkeypatch.setattr(store.os, "fsync", lambda fd: (seen.append("to disk"), fsync(fd)))
    monkeypatch.setattr(Path, "replace", lambda path, to: (seen.append("name"), replace(path, to))[1])

    keep(photos)

    assert seen[:2] == ["to disk", "name"]
    assert "to disk" in seen[2:]


WRITER = """
import io, os, signal, sys
from pathlib import Path
from firings import disk
from tiles.photos import store
step, folder = sys.argv[1:]
content = sys.stdin.buffer.read()
def die(*_): os.kill(os.getpid(), signal.SIGKILL)
if step == "writing": store.CHUNK_BYTES = 100; store.os.fsync = die
if step == "renaming": Path.replace = die
if step == "naming": disk.fsync_folder = die
photos = store.PhotoStore(Path(folder))
photos.keep_original(photos.take_in(io.BytesIO(content)), "jpg")
"""


@pytest.mark.skipif(os.name == "nt", reason="no such signal there")
@pytest.mark.parametrize("step", ["writing", "renaming", "naming"])
def test_a_process_killed_at_any_step_leaves_a_whole_original_or_none(photos, step):
    photos.folder.mkdir()
    done = subprocess.run([sys.executable, "-c", WRITER, step, photos.folder], input=CONTENT, check=False)

    assert done.returncode == -signal.SIGKILL
    place = photos.original(SHA256, "jpg")
    assert place.exists() == (step == "naming")
    assert not place.exists() or place.read_bytes() == CONTENT

    assert keep(photos).read_bytes() == CONTENT


def test_what_killed_processes_left_is_swept_by_age(photos):
    arriving = photos.folder / "arriving"
    arriving.mkdir(parents=True)
    (arriving / "old").write_bytes(b"half a photo")
    (arriving / "new").write_bytes(b"still being written")
    os.utime(arriving / "old", (time.time() - 2 * store.LEFT_OVER_AFTER_S,) * 2)

    swept = photos.sweep()

    assert swept == 1
    assert [path.name for path in arriving.iterdir()] == ["new"]


def test_renditions_are_a_cache_beside_the_originals(photos):
    original = keep(photos)
    small = photos.keep_rendition(SHA256, "small.jpg", b"small")
    photos.keep_rendition(SHA256, "large.jpg", b"large")

    assert small.read_bytes() == b"small"
    assert small == photos.rendition(SHA256, "small.jpg")

    photos.forget_renditions(SHA256)

    assert files_under(photos.folder) == [original]


def test_removing_an_original_takes_its_renditions_along(photos):
    keep(photos)
    photos.keep_rendition(SHA256, "small.jpg", b"small")

    photos.remove_original(SHA256, "jpg")

    assert files_under(photos.folder) == []


def test_a_store_answers_only_when_it_can_be_written(photos, tmp_path):
    blocked = PhotoStore(tmp_path / "a file" / "photos")
    (tmp_path / "a file").write_text("in the way")

    assert photos.answers()
    assert not blocked.answers()
    assert files_under(photos.folder) == []
