"""What is done with a photo after the answer went out."""

from django_tasks import task

from tiles.looking import services
from tiles.models import Photo


@task
def look_at_photo_soon(photo_pk: int) -> None:
    """Look at a new photo, prepare it for the pages, and file it by what is in view."""
    photo = Photo.everything.filter(pk=photo_pk).first()
    if photo is not None:
        services.look_at_photo(photo)


@task(priority=services.WHEN_IDLE)
def look_at_forgotten_photos() -> int:
    """See that every photo nobody looked at yet will be: after a restore, or from before there were workers."""
    return services.plan_looking(look_at_photo_soon)
