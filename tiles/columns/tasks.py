"""What is done about the log of changes in the background."""

from django_tasks import task

from tiles.columns import services


@task(priority=-50)
def forget_old_changes() -> int:
    """Once a day: shorten the log of what was written; by how many rows."""
    return services.forget_old_changes()
