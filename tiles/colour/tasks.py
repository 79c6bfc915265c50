"""Measuring after the answer went out."""

from django.db import transaction
from django_tasks import task

from tiles.colour import queries, services
from tiles.models import Photo


@task
def measure_soon(photo_pk: int) -> None:
    """Measure what a photo shows, where that may be done unasked."""
    photo = Photo.objects.filter(pk=photo_pk).first()
    if photo is not None:
        services.measure_outcomes(photo)


def measure_once_filed(photo: Photo) -> None:
    """See that a photo which has just been filed is measured, where that may be done unasked."""
    look = queries.look_of(photo)
    if look is not None and queries.is_measurable_unasked(look):
        transaction.on_commit(lambda: measure_soon.enqueue(photo.pk))
