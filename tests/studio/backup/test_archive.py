"""One file, sealed: what was put in comes out, and a changed bit anywhere is found."""

import zipfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from studio.backup.archive import Damaged, Manifest, Writer, opened, sealed_digest

PHOTO = "photos/originals/ab/cd/" + "abcd" + "0" * 60 + ".jpg"


def manifest(files, **changed) -> Manifest:
    plain = {
        "made_at": "2026-11-25T17:00:00+00:00",
        "version": "0.1",
        "database": "sqlite",
        "tables": {},
        "migrations": {},
    }
    return Manifest(**{**plain, **changed}, files=files)


def written(folder: Path, contents: dict[str, bytes], **changed) -> Path:
    place = folder / "backup.zip"
    with place.open("wb+") as file:
        writer = Writer(file)
        for number, (name, content) in enumerate(contents.items()):
            source = folder / f"source-{number}"
            source.write_bytes(content)
            writer.add(name, source)
        writer.seal(manifest(writer.entries, **changed))
    return place


@pytest.fixture
def backup(tmp_path: Path) -> Path:
    return written(tmp_path, {"database.sqlite3": b"rows" * 50, PHOTO: bytes(range(256))})


def test_what_was_put_in_comes_out(backup, tmp_path):
    with opened(backup) as reader:
        places = [reader.extract(entry, tmp_path / "out") for entry in reader.manifest.files]

    assert [place.read_bytes() for place in places] == [b"rows" * 50, bytes(range(256))]


def test_it_is_an_ordinary_zip(backup):
    with zipfile.ZipFile(backup) as archive:
        assert archive.testzip() is None
        assert archive.namelist() == ["database.sqlite3", PHOTO, "manifest.json"]


def test_every_single_flipped_bit_is_found(backup):
    whole = backup.read_bytes()
    for place in range(len(whole)):
        backup.write_bytes(whole[:place] + bytes([whole[place] ^ 1 << place % 8]) + whole[place + 1 :])
        with pytest.raises(Damaged), opened(backup):
            pass


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
@given(data=st.data())
def test_a_backup_cut_short_or_grown_is_found(backup, data):
    whole = backup.read_bytes()
    cut = data.draw(st.integers(0, len(whole) - 1))
    tail = data.draw(st.binary(min_size=1, max_size=40))
    damaged = backup.with_name("damaged.zip")
    for content in (whole[:cut], whole + tail, whole[:cut] + tail):
        damaged.write_bytes(content)
        if content != whole:
            with pytest.raises(Damaged), opened(damaged):
                pass


def test_a_file_that_is_no_backup_says_so(tmp_path):
    other = tmp_path / "notes.zip"
    with zipfile.ZipFile(other, "w") as archive:
        archive.writestr("notes.txt", "glazed on Tuesday" * 20)

    with pytest.raises(Damaged, match="no Tilewright backup"), opened(other):
        pass


@pytest.mark.parametrize(
    "name", ["../outside", "/etc/passwd", "photos/../../x", "database.sqlite3/x", "photos/originals/x.jpg"]
)
def test_a_name_that_leads_elsewhere_is_not_believed(tmp_path, name):
    with pytest.raises(Damaged, match="does not hold"), opened(written(tmp_path, {name: b"x"})):
        pass


def test_a_backup_of_a_later_form_is_refused_in_words(tmp_path):
    with pytest.raises(Damaged, match="newer Tilewright"), opened(written(tmp_path, {}, format=99)):
        pass


def test_the_seal_is_the_digest_of_all_bytes(backup):
    assert sealed_digest(backup).encode() == backup.read_bytes()[-64:]
