"""The parts of an installation, each looked at for real."""

import hashlib
import platform
import random
import shutil
import sqlite3
import stat
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

import django
from django.conf import settings
from django.db import DatabaseError, connection
from django.db.models import Max
from django.http.request import validate_host
from django.utils import timezone

from firings.curves.services import originals
from firings.models import Curve, Firing
from studio.backup import queries as backups
from studio.backup import sqlite
from studio.doctor.finding import Finding, ill, some, watch, well
from studio.models import Backup
from studio.people.passkeys.queries import count_by_site
from studio.queries import preferences_now
from studio.serving.services import database_is_behind, host_of, prompt_here
from studio.work.queries import work_state
from tiles.conditions.queries import untrue_copies
from tiles.models import Outcome, Photo
from tiles.photos.accept import EXTENSIONS
from tiles.photos.services import photo_store

# Below these a disk is too full to work on, or to be watched [bytes].
TOO_FULL, NEARLY_FULL = 200 * 1024**2, 2 * 1024**3
SAMPLED = 60
MEND_FIRST = "Mend that first, then ask again."
IF_IT_STAYS_SO = "If it stays so, restore the last proven backup into a new folder."
CLOCKS_MAY_DIFFER_BY = timedelta(minutes=5)
NAMED_AT_MOST = 3


def look_at_everything() -> Iterator[Finding]:
    """Each part in turn; one that breaks while it is looked at is ill, and the rest is looked at all the same.

    Without a database that can be read only that is said, not once more for each part that would ask it.
    """
    can_be_read = _rows_can_be_read()
    for part, look in PARTS.items():
        if part in READ_FROM_ROWS and not can_be_read:
            continue
        try:
            yield from look()
        except (DatabaseError, OSError) as trouble:
            advice = IF_IT_STAYS_SO if part == "database" and settings.ON_SQLITE else MEND_FIRST
            yield ill(part, f"It could not be looked at: {trouble}.", advice)


def _rows_can_be_read() -> bool:
    try:
        return backups.place_holds_a_studio()
    except DatabaseError:
        return False


def versions() -> Iterator[Finding]:
    words = f"Python {platform.python_version()}, Django {django.get_version()}, {_database_words()}."
    yield well("versions", words)


def _database_words() -> str:
    if settings.ON_SQLITE:
        return f"SQLite {sqlite3.sqlite_version}"
    with connection.cursor() as cursor:
        cursor.execute("SHOW server_version")
        return f"PostgreSQL {cursor.fetchone()[0]}"


def database() -> Iterator[Finding]:
    if not backups.place_holds_a_studio():
        words = f"There is no studio in {settings.DATA_DIR}."
        yield ill(
            "database", words, "Set TILEWRIGHT_DATA to the studio’s folder, or restore a backup into it."
        )
    elif database_is_behind():
        yield ill("database", "It is older than this Tilewright.", _bring_up_to_date())
    elif problems := sqlite_trouble():
        yield ill("database", f"SQLite finds it damaged: {problems[0]}.", "Restore the last proven backup.")
    else:
        yield well("database", "Up to date and sound.")


def _bring_up_to_date() -> str:
    return f"Keep a copy of {settings.DATA_DIR}, then start it, which brings it up to date: {prompt_here().start()}"


def sqlite_trouble() -> list[str]:
    """What SQLite finds wrong with the living database; PostgreSQL watches its own pages."""
    if not settings.ON_SQLITE:
        return []
    with closing(connection.cursor()) as cursor:
        return sqlite.complaints(cursor.execute)


def disk() -> Iterator[Finding]:
    free = shutil.disk_usage(_first_there(settings.DATA_DIR)).free
    words = f"{free / 1024**3:,.1f} GB free where {settings.DATA_DIR} lies."
    if free < TOO_FULL:
        yield ill("disk", words, "Make room now: photos will be refused.")
    elif free < NEARLY_FULL:
        yield watch("disk", words, "Make room soon.")
    else:
        yield well("disk", words)


def _first_there(folder: Path) -> Path:
    """The folder, or where it would be made."""
    return next(place for place in (folder, *folder.parents) if place.exists())


def secret() -> Iterator[Finding]:
    key = settings.DATA_DIR / "secret_key"
    if key.exists() and stat.S_IMODE(key.stat().st_mode) & 0o077 and platform.system() != "Windows":
        yield ill("secret key", f"Others on this machine can read {key}.", f"chmod 600 {key}")
    else:
        yield well("secret key", "Read by its owner only.")


def door() -> Iterator[Finding]:
    if settings.WITHOUT_PASSWORDS:
        yield watch(
            "door",
            "Whoever sits at this machine comes in as anyone, without a password.",
            "Unset TILEWRIGHT_WITHOUT_PASSWORDS when others use it.",
        )
    else:
        yield well("door", "Everyone types a password, unlocks a passkey or comes by a link.")


def passkeys() -> Iterator[Finding]:
    hosts = [*settings.ALLOWED_HOSTS, host_of(preferences_now().address)]
    counted = count_by_site()
    elsewhere = {site: count for site, count in counted.items() if not validate_host(site, hosts)}
    if elsewhere:
        lost = some(sum(elsewhere.values()), "passkey was", "passkeys were")
        words = f"{lost} made where this studio does not answer: {', '.join(elsewhere)}."
        advice = "Put that name into TILEWRIGHT_HOSTS again, or let people make others at the new address."
        yield watch("passkeys", words, advice)
    elif counted:
        made = some(sum(counted.values()), "passkey", "passkeys")
        yield well("passkeys", f"{made}, made where this studio answers.")
    else:
        yield well("passkeys", "Nobody has one.")


def copies() -> Iterator[Finding]:
    untrue = sum(1 for _ in untrue_copies())
    if untrue:
        words = f"{some(untrue, 'result carries', 'results carry')} conditions that are not true."
        yield ill("conditions", words, f"Run {prompt_here().manage('check_conditions --mend')}")
    else:
        yield well("conditions", f"All {Outcome.everything.count():,} results carry true conditions.")


def files() -> Iterator[Finding]:
    """Whether each row's file is there, and whether some of them still hold what they held."""
    wanted = list(_originals())
    missing = [place.name for place, _ in wanted if not place.exists()]
    there = [(place, sha256) for place, sha256 in wanted if place.exists()]
    sample = random.sample(there, min(SAMPLED, len(there)))  # nosec B311
    damaged = [place.name for place, sha256 in sample if _sha256(place) != sha256]
    advice = (
        f"Unpack them from the last backup, an ordinary ZIP with the same folders, into {settings.DATA_DIR}; "
        "until then leave the disk alone."
    )
    if missing:
        yield ill(
            "files",
            f"{len(missing):,} of {len(wanted):,} {_are(missing)} missing: {_named(missing)}.",
            advice,
        )
    if damaged:
        words = f"{len(damaged)} of {len(sample)} looked into {_are(damaged)} damaged: {_named(damaged)}."
        yield ill("files", words, advice)
    if not missing and not damaged:
        yield well("files", f"All {len(wanted):,} there; {len(sample)} looked into, all as they came.")


def _are(names: list[str]) -> str:
    return "is" if len(names) == 1 else "are"


def _originals() -> Iterator[tuple[Path, str]]:
    store, logged = photo_store(), originals()
    for sha256, form in Photo.everything.values_list("sha256", "format").iterator():
        yield store.at_hand(sha256, EXTENSIONS[form]), sha256
    for sha256 in Curve.objects.values_list("original_sha256", flat=True).distinct():
        yield logged.kept(sha256), sha256


def _sha256(place: Path) -> str:
    with place.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _named(names: list[str]) -> str:
    more = f" and {len(names) - NAMED_AT_MOST} more" if len(names) > NAMED_AT_MOST else ""
    return ", ".join(names[:NAMED_AT_MOST]) + more


def backup() -> Iterator[Finding]:
    last = backups.last_proven()
    advice = f"Run {prompt_here().manage('backup FOLDER --prove')} with a FOLDER on another disk."
    if last is None:
        yield watch("backup", "None was made and proven yet.", advice)
    elif backups.is_old(last):
        yield watch(
            "backup", f"The last proven one is of {timezone.localtime(last.made_at):%d %b %Y}.", advice
        )
    else:
        yield well("backup", f"The last proven one is of {timezone.localtime(last.made_at):%d %b %Y, %H:%M}.")

    if not_whole := [backup.place for backup in Backup.objects.not_whole()]:
        yield watch(
            "backup", f"Not whole: {_named(not_whole)}.", "Rely on another; delete what nobody can use."
        )


def work() -> Iterator[Finding]:
    """Whether somebody does what nobody waits for."""
    state = work_state()
    if state.nobody_works:
        words = f"No worker runs, and {some(state.waiting, 'task waits', 'tasks wait')}."
        yield watch("work", words, f"Start the studio anew, or run {prompt_here().manage('worker')}")
    elif state.failed:
        words = f"{some(state.failed, 'task', 'tasks')} failed."
        yield watch("work", words, "See More, Work in the background.")
    else:
        workers = some(state.workers, "worker", "workers")
        yield well("work", f"{workers}, {some(state.waiting, 'task waits', 'tasks wait')}.")


def clock() -> Iterator[Finding]:
    """A clock that was set back makes newer work look older, and what was written before lie in the future."""
    latest = max(filter(None, _latest_marks()), default=None)
    if latest and latest - timezone.now() > CLOCKS_MAY_DIFFER_BY:
        words = f"The studio’s newest record is of {timezone.localtime(latest):%d %b %Y, %H:%M}, which is yet to come."
        yield ill("clock", words, "Set this machine’s clock right.")
    else:
        yield well("clock", f"{timezone.localtime():%d %b %Y, %H:%M %Z}.")


def _latest_marks() -> Iterator[datetime | None]:
    yield Photo.everything.aggregate(latest=Max("stored_at"))["latest"]
    yield Outcome.everything.aggregate(latest=Max("judged_at"))["latest"]
    yield Firing.everything.aggregate(latest=Max("created_at"))["latest"]
    yield Backup.objects.aggregate(latest=Max("made_at"))["latest"]


PARTS: dict[str, Callable[[], Iterator[Finding]]] = {
    "versions": versions,
    "database": database,
    "disk": disk,
    "secret key": secret,
    "door": door,
    "passkeys": passkeys,
    "clock": clock,
    "work": work,
    "conditions": copies,
    "files": files,
    "backup": backup,
}
READ_FROM_ROWS = frozenset({"passkeys", "clock", "work", "conditions", "files", "backup"})
