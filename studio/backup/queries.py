"""What there is to back up: the database at one moment, and the files its rows stand for."""

import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

from django.conf import settings
from django.db import DatabaseError, connection, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Q, QuerySet
from django.utils import timezone
from django_tasks import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from firings.curves.services import originals
from studio.backup import postgres, sqlite
from studio.backup.archive import Manifest
from studio.backup.census import Census, Rows, census
from studio.models import Backup
from studio.work.queries import why
from tiles.photos.accept import EXTENSIONS
from tiles.photos.services import photo_store

SHOWN_AT_MOST = 100
# A backup older than this is worth a word to the keeper.
IS_OLD_AFTER = timedelta(days=8)
GONE_IS_SHOWN_FOR = timedelta(days=30)


def listed() -> QuerySet[Backup]:
    """All backups that still lie somewhere, and those gone lately: a year of gone ones would push the others off."""
    lately = Q(made_at__gte=timezone.now() - GONE_IS_SHOWN_FOR)
    return Backup.objects.filter(Q(is_gone=False) | lately).select_related("made_by")[:SHOWN_AT_MOST]


def backup_folder() -> Path:
    """Where backups go: onto the disk the studio named, else beside its data, where they do not outlive the disk."""
    return Path(settings.BACKUP_DIR) if settings.BACKUP_DIR else settings.DATA_DIR / "backups"


def _work() -> QuerySet[DBTaskResult]:
    return DBTaskResult.objects.filter(task_path__startswith="studio.backup.tasks.")


def under_way() -> int:
    """How many backups are being made or proven, or wait for it."""
    asked_for = _work().filter(status__in=(TaskResultStatus.READY, TaskResultStatus.RUNNING))
    return asked_for.exclude(task_path__endswith="once_a_day", status=TaskResultStatus.READY).count()


@dataclass(frozen=True, slots=True)
class Trouble:
    """Why no backup came of the last try, and whether it is tried again by itself."""

    why: str
    is_tried_again: bool

    def __str__(self) -> str:
        again = " It is tried again by itself a few times." if self.is_tried_again else ""
        return f"The last backup could not be made or proven. {self.why}.{again} Mend that, then press “Back up now”."


def wait_after_failure() -> list[DBTaskResult]:
    """Backups that could not be made or proven and wait to be tried again by themselves."""
    waiting = _work().filter(status=TaskResultStatus.READY).exclude(traceback="")
    return [work for work in waiting if work.worker_ids]


def last_trouble() -> Trouble | None:
    """What kept the last try from making or proving a backup, until a newer backup is there."""
    newest = Backup.objects.order_by("-made_at").first()
    failed = [*wait_after_failure(), *_work().filter(status=TaskResultStatus.FAILED)]
    newer = [work for work in failed if work.started_at and not (newest and work.started_at < newest.made_at)]
    last = max(newer, key=lambda work: work.started_at, default=None)
    if last is None:
        return None
    return Trouble(why(last).rstrip("."), last.status == TaskResultStatus.READY)


def last_proven() -> Backup | None:
    """The newest backup that was restored on trial and found true."""
    return Backup.objects.proven().first()


def stands_without(backup: Backup) -> bool:
    """Whether another backup, proven and still there, is left when this one goes."""
    others = Backup.objects.proven().filter(is_gone=False).exclude(pk=backup.pk)
    return any(Path(place).is_file() for place in others.values_list("place", flat=True))


def is_old(backup: Backup | None) -> bool:
    """Whether it is time for another."""
    return backup is None or timezone.now() - backup.made_at > IS_OLD_AFTER


def database_path() -> Path:
    """Where an SQLite studio's database lies."""
    return Path(connection.settings_dict["NAME"])


def place_holds_a_studio() -> bool:
    """Whether the database here has any tables; a mere file without them is no studio."""
    if settings.ON_SQLITE and not database_path().exists():
        return False
    return bool(connection.introspection.table_names())


def bytes_to_write() -> int:
    """About what a backup takes: the files once, an SQLite database twice, as snapshot and in the backup."""
    places = [photo_store().folder / "originals", originals().folder]
    files = sum(found.stat().st_size for place in places for found in place.rglob("*") if found.is_file())
    return files + 2 * (database_path().stat().st_size if settings.ON_SQLITE else 0)


def snapshot(making: Path) -> tuple[Path, Census]:
    """The database as it stands at one moment, written into a folder, and what that file holds.

    Raises
    ------
    ToolTrouble : PostgreSQL's tools are missing or refused
    """
    if settings.ON_SQLITE:
        target = making / "database.sqlite3"
        sqlite.snapshot(database_path(), target)
        return target, sqlite.count(target)
    target = making / "database.pgdump"
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
        cursor.execute("SELECT pg_export_snapshot()")
        exported = cursor.fetchone()[0]
        held = _census_of(connection)
        postgres.dump(target, postgres.surroundings(connection.settings_dict), exported)
    return target, held


def files_of(held: Census) -> list[tuple[str, str, Path]]:
    """The files that rows stand for: the name in a backup, the hash it must have, where it lies here."""
    photos, curves = photo_store(), originals()
    found = [
        ("photos", photos.folder, sha256, photos.at_hand(sha256, EXTENSIONS[form]))
        for sha256, form in held.photos
    ]
    found += [("curves", curves.folder, sha256, curves.kept(sha256)) for sha256 in held.curves]
    return [
        (f"{branch}/{place.relative_to(folder).as_posix()}", sha256, place)
        for branch, folder, sha256, place in found
    ]


def restored_on_trial(manifest: Manifest, database: Path) -> tuple[Census | None, list[str], str]:
    """The census of the database once restored, what it complains of, and why it could not be tried, if so."""
    if manifest.database == "sqlite":
        return sqlite.count(database), sqlite.trouble(database), ""
    if settings.ON_SQLITE:
        return None, [], "Its database is PostgreSQL’s, which is not used here: only its bytes were compared."
    try:
        with _trial_database() as trial:
            postgres.load(database, postgres.surroundings(trial.settings_dict))
            return _census_of(trial), [], ""
    except postgres.ToolTrouble as trouble:
        return None, [str(trouble)], ""
    except DatabaseError:
        return (
            None,
            [],
            "This database user may not make a database to try it in: only its bytes were compared.",
        )


@contextmanager
def _trial_database() -> Iterator[BaseDatabaseWrapper]:
    """An empty PostgreSQL database that is gone afterwards."""
    name = f"tilewright_trial_{secrets.token_hex(6)}"
    with connection.cursor() as cursor:
        cursor.execute(f'CREATE DATABASE "{name}" TEMPLATE template0')
    trial = connection.copy()
    trial.settings_dict["NAME"] = name
    try:
        yield trial
    finally:
        trial.close()
        with connection.cursor() as cursor:
            cursor.execute(f'DROP DATABASE "{name}"')


def _census_of(database: BaseDatabaseWrapper) -> Census:
    def ask(sql: str) -> Rows:
        with database.cursor() as cursor:
            cursor.execute(sql)
            return cursor.fetchall()

    return census(ask, database.introspection.table_names())
