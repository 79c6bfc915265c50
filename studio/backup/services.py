"""Make a backup, prove one, restore one."""

import os
import shutil
import tempfile
import time
from dataclasses import dataclass
from datetime import datetime
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import BinaryIO

from django.conf import settings
from django.db import connection, connections
from django.db.migrations.loader import MigrationLoader
from django.utils import timezone

from firings.curves.services import originals
from firings.models import User
from studio.backup import archive, postgres, queries, sqlite
from studio.backup.archive import Damaged, Manifest, Reader, Writer
from studio.backup.census import Census, differences
from studio.backup.retention import kept
from studio.models import Backup
from studio.serving.services import bring_database_up_to_date
from tiles.photos.services import photo_store

NAME = "tilewright-%Y%m%d-%H%M%S"
UNFINISHED = ".making-"
UNFINISHED_IS_LEFT_OVER_AFTER_S = 24 * 60 * 60.0
# Beside the files themselves, for the database's snapshot and a disk that others fill meanwhile.
ROOM_TO_SPARE_BYTES = 50 * 1024 * 1024


class CannotBackUp(Exception):
    """A backup can't be made or restored here; the words say what to do."""


@dataclass(frozen=True, slots=True)
class Proof:
    """What restoring a backup on trial showed; without `problems` it holds all that it says."""

    manifest: Manifest
    problems: list[str]
    not_tried: str = ""


def _for_its_owner(place: str, how: int) -> int:
    """Open a file that nobody else may read: a backup holds what the secret key is kept for."""
    return os.open(place, how, 0o600)


def make_backup(folder: Path, *, by: User | None = None) -> Backup:
    """Write one backup of database, photographs and loggers' files into `folder`, while people go on working.

    The database is taken first, and a file is on the disk before its row is: every row of the snapshot finds its file.

    Raises
    ------
    CannotBackUp : the folder can't be written, is too full, or the database's tools are missing
    """
    moment = timezone.now()
    try:
        folder = _ready(folder)
        with tempfile.TemporaryDirectory(prefix=UNFINISHED, dir=folder) as making:
            database, held = queries.snapshot(Path(making))
            unfinished = Path(making) / "backup.zip"
            with open(unfinished, "xb+", opener=_for_its_owner) as file:
                sha256, manifest = _write(file, database, held, moment)
            place = _named(unfinished, folder, moment)
    except OSError as trouble:
        raise CannotBackUp(
            f"{folder} could not be written: {trouble.strerror}. Take another folder."
        ) from trouble
    except postgres.ToolTrouble as trouble:
        raise CannotBackUp(str(trouble)) from trouble
    return Backup.objects.create(
        place=str(place),
        sha256=sha256,
        byte_count=place.stat().st_size,
        made_at=moment,
        made_by=by,
        remarks=_remarks(manifest),
    )


def _remarks(manifest: Manifest) -> list[str]:
    """What was amiss on the studio's own disk."""
    return [f"{name} is missing" for name in manifest.missing] + [
        f"{name} is not what it was" for name in manifest.damaged
    ]


def _ready(folder: Path) -> Path:
    """The folder, made if need be, cleared of what a killed backup left, with room enough."""
    folder = folder.expanduser().resolve()
    folder.mkdir(parents=True, exist_ok=True)
    for left in folder.glob(f"{UNFINISHED}*"):
        if time.time() - left.stat().st_mtime > UNFINISHED_IS_LEFT_OVER_AFTER_S:
            shutil.rmtree(left, ignore_errors=True)
    needed, free = queries.bytes_to_write() + ROOM_TO_SPARE_BYTES, shutil.disk_usage(folder).free
    if free < needed:
        raise CannotBackUp(
            f"{folder} has {_megabytes(free)} free and a backup takes {_megabytes(needed)}. "
            "Make room, or take another disk."
        )
    return folder


def _megabytes(count: int) -> str:
    return f"{count / 1024**2:,.0f} MB"


def _write(file: BinaryIO, database: Path, held: Census, moment: datetime) -> tuple[str, Manifest]:
    writer = Writer(file)
    writer.add(database.name, database)
    missing, damaged = [], []
    for name, sha256, place in queries.files_of(held):
        try:
            if writer.add(name, place).sha256 != sha256:
                damaged.append(name)
        except FileNotFoundError:
            missing.append(name)
    manifest = Manifest(
        made_at=moment.isoformat(),
        version=own_version(),
        database=connection.vendor,
        tables=held.tables,
        migrations=held.migrations,
        files=writer.entries,
        missing=missing,
        damaged=damaged,
    )
    return writer.seal(manifest), manifest


def own_version() -> str:
    """The version of this Tilewright."""
    try:
        return version("tilewright")
    except PackageNotFoundError:
        return "unreleased"


def _named(unfinished: Path, folder: Path, moment: datetime) -> Path:
    """Give the finished backup its name; two of one second get two names."""
    name = timezone.localtime(moment).strftime(NAME)
    for ending in ("", *(f"-{number}" for number in range(2, 100))):
        place = folder / f"{name}{ending}.zip"
        if not place.exists():
            return unfinished.rename(place)
    raise CannotBackUp(f"{folder} has a hundred backups of this very second.")


def prove_backup(backup: Path) -> Proof:
    """Restore a backup on trial, compare it with what it says it holds, and note the proof with the backup's row.

    Raises
    ------
    Damaged : it is no whole backup
    OSError : it cannot be read
    """
    with archive.opened(backup) as reader, tempfile.TemporaryDirectory() as trial:
        proof = _proof(reader, Path(trial))
    if queries.place_holds_a_studio():  # a backup may be proven on any machine
        Backup.objects.filter(sha256=reader.digest).update(
            proven_at=timezone.now(), trouble="; ".join(proof.problems)[:500], is_gone=False
        )
    return proof


def note_trouble(backup: Path, words: str) -> None:
    """Write with a backup's row that its file is no longer what was made."""
    Backup.objects.filter(place=str(backup.resolve())).update(trouble=words[:500], proven_at=None)


def note_gone(backup: Backup) -> None:
    """Write with a backup's row that nobody finds its file."""
    backup.is_gone, backup.proven_at = True, None
    backup.save(update_fields=["is_gone", "proven_at"])


def _proof(reader: Reader, trial: Path) -> Proof:
    manifest = reader.manifest
    problems = [f"When it was made, {words}" for words in _remarks(manifest)]
    database, *others = manifest.files
    for entry in others:
        reader.check(entry)
    held, found, not_tried = queries.restored_on_trial(manifest, reader.extract(database, trial))
    problems += found
    if held is not None:
        problems += differences(manifest.tables, held.tables)
        listed = {entry.name for entry in manifest.files} | {*manifest.missing}
        problems += [f"{name} is not in it" for name, _, _ in queries.files_of(held) if name not in listed]
    return Proof(manifest, problems, not_tried)


def restore_backup(backup: Path) -> Manifest:
    """Bring a backup back into an empty place: files first, the database last, then the migrations it lacks.

    Raises
    ------
    Damaged : it is no whole backup
    CannotBackUp : the place holds a studio, or runs on another kind of database, or is older than the backup
    OSError : a disk refused; what is half restored lies in a folder of its own and counts for nothing
    """
    with archive.opened(backup) as reader:
        _refuse_unfit(reader.manifest)
        settings.DATA_DIR.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".restoring-", dir=settings.DATA_DIR) as half:
            for entry in reader.manifest.files:
                reader.extract(entry, Path(half))
            _move_files(Path(half) / "photos", photo_store().folder)
            _move_files(Path(half) / "curves", originals().folder)
            _bring_database(Path(half))
    bring_database_up_to_date()
    return reader.manifest


def _refuse_unfit(manifest: Manifest) -> None:
    if queries.place_holds_a_studio():
        raise CannotBackUp(
            f"There is a studio in this place already ({settings.DATA_DIR}). Restore into an empty one, by setting "
            "TILEWRIGHT_DATA to a new folder"
            + ("." if settings.ON_SQLITE else " and DATABASE_URL to a new database.")
        )
    if manifest.database != connection.vendor:
        raise CannotBackUp(
            f"This backup holds a database of {manifest.database}, and this place runs on {connection.vendor}. "
            "Restore it with the DATABASE_URL of its own kind."
        )
    known = MigrationLoader(None).disk_migrations
    newer = [f"{app} {name}" for app, name in manifest.migrations.items() if (app, name) not in known]
    if newer:
        raise CannotBackUp(
            f"This backup is of a newer Tilewright ({newer[0]}). Restore it with that version."
        )


def thin_out(folder: Path) -> list[Path]:
    """Delete the backups of ours that are no longer needed, and say which; the newest proven one always stays.

    One that is not whole stands for no day, week or month: it stays, and a keeper throws it away.
    """
    whole = Backup.objects.filter(is_gone=False, trouble="")
    here = {backup.made_at: backup for backup in whole if _lies_in(backup, folder)}
    staying = kept(here)
    proven = max((moment for moment, backup in here.items() if backup.proven_at), default=None)
    gone = [backup for moment, backup in here.items() if moment not in staying and moment != proven]
    for backup in gone:
        Path(backup.place).unlink(missing_ok=True)
        backup.is_gone = True
        backup.save(update_fields=["is_gone"])
    return [Path(backup.place) for backup in gone]


def throw_away_damaged(backup: Backup) -> None:
    """Throw away the file of a backup that was found not to be whole, for good.

    Raises
    ------
    CannotBackUp : it was never found damaged, no proven backup is left without it, or the disk refuses
    """
    if not backup.trouble or backup.is_gone:
        raise CannotBackUp(f"{backup} was not found to be damaged, so it stays.")
    if not queries.stands_without(backup):
        raise CannotBackUp(
            f"{backup} stays: there is no proven backup beside it, and photos can still be taken out of a damaged "
            "one. Press “Back up now” first."
        )
    try:
        Path(backup.place).unlink(missing_ok=True)
    except OSError as trouble:
        raise CannotBackUp(f"{backup.place} could not be thrown away: {trouble.strerror}.") from trouble
    note_gone(backup)


def _lies_in(backup: Backup, folder: Path) -> bool:
    return Path(backup.place).parent == folder.expanduser().resolve()


def _move_files(source: Path, folder: Path) -> None:
    """Move files to their places; one of the same name holds the same bytes, as the name is its hash."""
    for found in sorted(source.rglob("*")):
        if found.is_file():
            place = folder / found.relative_to(source)
            place.parent.mkdir(parents=True, exist_ok=True)
            found.replace(place)


def _bring_database(half: Path) -> None:
    if not settings.ON_SQLITE:
        try:
            postgres.load(half / "database.pgdump", postgres.surroundings(connection.settings_dict))
        except postgres.ToolTrouble as trouble:
            raise CannotBackUp(str(trouble)) from trouble
        return
    problems = sqlite.trouble(half / "database.sqlite3")
    if problems:
        raise Damaged(f"Its database is not sound: {problems[0]}.")
    connections.close_all()
    for ending in ("-wal", "-shm"):
        queries.database_path().with_name(queries.database_path().name + ending).unlink(missing_ok=True)
    (half / "database.sqlite3").replace(queries.database_path())
