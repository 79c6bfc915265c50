"""Backups nobody waits for: once a day where the studio says where to, or when a keeper asks."""

from pathlib import Path

from django.conf import settings
from django_tasks import task

from studio.backup import queries, services
from studio.models import Backup, Person

# After all that a person may be waiting for.
WHEN_IDLE = -50


@task(priority=WHEN_IDLE)
def back_up(by: int | None = None) -> str:
    """Make a backup, prove it, and thin out the older ones; which file it is."""
    folder = queries.backup_folder()
    backup = services.make_backup(folder, by=Person.objects.filter(pk=by).first())
    if not services.prove_backup(Path(backup.place)).problems:
        services.thin_out(folder)
    return backup.place


@task(priority=WHEN_IDLE)
def back_up_once_a_day() -> str:
    """The same each day, where the studio has said onto which disk."""
    return back_up.call() if settings.BACKUP_DIR else ""


@task(priority=WHEN_IDLE)
def prove(backup: int) -> int:
    """Restore one backup on trial; how many problems that showed."""
    found = Backup.objects.get(pk=backup)
    try:
        return len(services.prove_backup(Path(found.place)).problems)
    except services.Damaged as trouble:
        services.note_trouble(Path(found.place), str(trouble))
    except FileNotFoundError:
        services.note_gone(found)
    return 1
