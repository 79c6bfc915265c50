"""Making a package takes minutes in a large studio: nobody waits for it."""

from django.utils import timezone
from django_tasks import task

from studio.export import queries, services

# After all that a person may be waiting for.
WHEN_IDLE = -50


@task(priority=WHEN_IDLE)
def make_package() -> list[str]:
    """Write the studio into a package that a keeper can fetch for a week; what was amiss on the studio's disk."""
    folder = queries.export_folder()
    services.forget_old_packages(folder)
    return services.export_studio(folder / timezone.localtime().strftime(services.NAME))
