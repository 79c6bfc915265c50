"""Bring the originals of all photos into the studio's object store."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from studio.serving.services import prompt_here
from tiles.models import Photo
from tiles.photos.accept import EXTENSIONS
from tiles.photos.queries import object_store, photo_store


class Command(BaseCommand):
    help = "Bring the originals of all photos into the studio’s object store. Safe to run again."

    def handle(self, *args: Any, **options: Any) -> None:
        """Send what is not there yet, and say what nobody has."""
        if object_store() is None:
            raise CommandError("Set TILEWRIGHT_OBJECTS first: this studio has no object store.")
        store, sent, missing = photo_store(), 0, 0
        for sha256, form in Photo.everything.values_list("sha256", "format").iterator():
            try:
                sent += store.send_beyond(sha256, EXTENSIONS[form])
                missing += not store.at_hand(sha256, EXTENSIONS[form]).exists()
            except OSError as trouble:
                raise CommandError(f"{trouble}. {sent} were sent; run this again to go on.") from trouble
        self.stdout.write(f"{sent} sent, {Photo.everything.count()} photos in all.")
        if missing:
            raise CommandError(
                f"{missing} originals are nowhere; {prompt_here().manage('doctor')} names them."
            )
