"""Write a backup of the whole studio into a folder."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from studio.backup import services


class Command(BaseCommand):
    help = (
        "Write one file with database, photos and loggers’ files into a folder, while people work. "
        "Keep it on another disk."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("folder", type=Path, help="where the backup goes; made if it is not there")
        parser.add_argument("--prove", action="store_true", help="restore it on trial at once")
        parser.add_argument(
            "--thin-out", action="store_true", help="delete older backups in that folder that are not needed"
        )

    def handle(self, *, folder: Path, prove: bool, thin_out: bool, **options: Any) -> None:
        try:
            backup = services.make_backup(folder)
            proof = services.prove_backup(Path(backup.place)) if prove else None
            gone = services.thin_out(folder) if thin_out and not (proof and proof.problems) else []
        except (services.CannotBackUp, services.Damaged) as trouble:
            raise CommandError(str(trouble)) from trouble
        self.stdout.write(f"{backup.place} ({backup.byte_count / 1024**2:,.1f} MB)")
        for words in backup.remarks:
            self.stderr.write(words)
        for path in gone:
            self.stdout.write(f"Deleted, no longer needed: {path.name}")
        if proof and proof.problems:
            raise CommandError("It was restored on trial and is not whole: " + "; ".join(proof.problems))
