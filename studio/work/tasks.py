"""What is done once a day, whoever is here."""

from django.utils import timezone
from django_tasks import task
from django_tasks.base import Task

from studio.backup.tasks import back_up_once_a_day
from studio.bin.services import empty_bin
from studio.work import services
from tiles.columns.tasks import forget_old_changes
from tiles.looking.tasks import look_at_forgotten_photos
from tiles.photos.services import photo_store
from tiles.prints.tray.runs.tasks import forget_old_prints

# After all that a person may be waiting for.
WHEN_IDLE = -50


@task(priority=WHEN_IDLE)
def sweep_photo_store() -> int:
    """Delete what killed processes left half written; how many files that were."""
    return photo_store().sweep()


@task(priority=WHEN_IDLE)
def empty_the_bin() -> dict[str, int]:
    """Delete for good what has lain in the bin for 30 days; how many of each kind."""
    return empty_bin(timezone.now()).gone


@task(priority=WHEN_IDLE)
def forget_old_work() -> int:
    """Forget work that was done long ago; how much."""
    return services.prune()


# A subject with something to do once a day adds its task here.
EVERY_DAY: list[Task] = [
    sweep_photo_store,
    empty_the_bin,
    forget_old_work,
    forget_old_changes,
    forget_old_prints,
    look_at_forgotten_photos,
    back_up_once_a_day,
]
