"""Write the whole studio as an open package."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from studio.export.services import NAME, export_studio


class Command(BaseCommand):
    help = "Write the whole studio as an open package: tables as CSV, photos and loggers’ files as they came."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", type=Path, help="where the package goes")

    def handle(self, *, folder: Path, **options: Any) -> None:
        """Write it, and say what was amiss on the studio's disk."""
        place = folder.expanduser().resolve() / timezone.localtime().strftime(NAME)
        try:
            amiss = export_studio(place)
        except OSError as trouble:
            raise CommandError(f"{folder} could not be written: {trouble.strerror}.") from trouble
        for words in amiss:
            self.stderr.write(f"{words} on the studio’s disk")
        self.stdout.write(str(place))
