"""Bring a backup back into an empty place."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from studio.backup import services
from studio.serving.services import prompt_here


class Command(BaseCommand):
    help = "Bring a backup back into an empty place: set TILEWRIGHT_DATA to a new folder first."
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path)

    def handle(self, *, file: Path, **options: Any) -> None:
        try:
            manifest = services.restore_backup(file)
        except (services.Damaged, services.CannotBackUp) as trouble:
            raise CommandError(f"{file} was not restored. {trouble}") from trouble
        except OSError as trouble:
            raise CommandError(
                f"{file} was not restored: {trouble.strerror} ({trouble.filename})."
            ) from trouble
        rows = sum(manifest.tables.values())
        self.stdout.write(
            f"Restored into {settings.DATA_DIR}: {rows:,} rows, {len(manifest.files) - 1:,} files. Start it: "
            + prompt_here().start()
        )
