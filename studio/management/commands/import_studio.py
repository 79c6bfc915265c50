"""Take an open package into an empty studio."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from studio.export.services import CannotTakeIn, import_studio
from studio.serving.services import prompt_here


class Command(BaseCommand):
    help = "Take a package that export_studio wrote into an empty studio, all or nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="the package")

    def handle(self, *, file: Path, **options: Any) -> None:
        """Take it in, and say how people come in now."""
        call_command("migrate", verbosity=0, interactive=False)
        try:
            counts = import_studio(file)
        except CannotTakeIn as trouble:
            raise CommandError(str(trouble)) from trouble
        except OSError as trouble:
            raise CommandError(f"{file}: {trouble.strerror or trouble}.") from trouble
        self.stdout.write(
            f"{sum(counts.values()):,} rows and files are in {settings.DATA_DIR}. Nobody has a password here yet: the "
            "link that starting it prints lets the keeper in, who makes links for the others. Start it: "
            + prompt_here().start()
        )
