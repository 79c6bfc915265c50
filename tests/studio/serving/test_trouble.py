"""What keeps a studio from starting is one line that says what to do."""

import errno
import os
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from studio.serving.trouble import in_one_line

FOLDER = Path("/srv/studio")


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.ENOSPC, "disk is full"),
        (errno.EROFS, "can only be read"),
        (errno.EACCES, "may not be written by you"),
        (errno.ENOTDIR, "in the way"),
        (errno.EIO, "Input/output error"),
    ],
)
def test_the_systems_errors_in_words(number, words):
    line = in_one_line(OSError(number, os.strerror(number), "/srv/studio/photos"), FOLDER)

    assert words in line
    assert "/srv/studio/photos" in line
    assert "\n" not in line


def test_only_trouble_with_the_data_folder_advises_another_one():
    ours = in_one_line(OSError(errno.EROFS, "", "/srv/studio/secret_key"), FOLDER)
    elsewhere = in_one_line(OSError(errno.EROFS, "", "/opt/tilewright/build"), FOLDER)

    assert "TILEWRIGHT_DATA" in ours
    assert "TILEWRIGHT_DATA" not in elsewhere


def a_full_disk(path: Path) -> None:
    database = sqlite3.connect(path)
    database.execute("PRAGMA max_page_count = 2")
    database.execute("CREATE TABLE tile (remark)")
    database.execute("INSERT INTO tile VALUES (zeroblob(100000))")


def a_file_that_may_only_be_read(path: Path) -> None:
    sqlite3.connect(path).execute("CREATE TABLE tile (remark)")
    sqlite3.connect(f"file:{path}?mode=ro", uri=True).execute("CREATE TABLE glaze (name)")


def a_folder_that_is_missing(path: Path) -> None:
    sqlite3.connect(path / "missing" / "studio.sqlite3")


def a_file_of_another_kind(path: Path) -> None:
    path.write_bytes(b"a shopping list" * 100)
    sqlite3.connect(path).execute("SELECT * FROM tile")


def a_database_held_by_another_program(path: Path) -> None:
    holder, other = sqlite3.connect(path), sqlite3.connect(path, timeout=0)
    holder.execute("BEGIN EXCLUSIVE")
    other.execute("CREATE TABLE tile (remark)")


def a_damaged_database(path: Path) -> None:
    database = sqlite3.connect(path)
    database.execute("CREATE TABLE tile (remark)")
    database.executemany("INSERT INTO tile VALUES (?)", [("x" * 500,)] * 100)
    database.commit()
    database.close()
    bytes_kept = path.read_bytes()
    path.write_bytes(bytes_kept[:5000] + b"\xff" * (len(bytes_kept) - 5000))
    sqlite3.connect(path).execute("SELECT count(remark) FROM tile")


@pytest.mark.parametrize(
    ("breaks", "words"),
    [
        (a_full_disk, "disk is full"),
        (a_file_that_may_only_be_read, "cannot be written"),
        (a_folder_that_is_missing, "cannot be opened"),
        (a_file_of_another_kind, "not a database of ours"),
        (a_database_held_by_another_program, "Another program holds"),
        (a_damaged_database, "is damaged"),
    ],
)
def test_what_the_database_really_says_in_words(breaks: Callable[[Path], None], words, tmp_path):
    with pytest.raises(sqlite3.Error) as trouble:
        breaks(tmp_path / "studio.sqlite3")

    assert words in in_one_line(trouble.value, FOLDER)
