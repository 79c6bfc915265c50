"""Restore a backup on trial and compare it with what it says it holds."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import DatabaseError

from studio.backup import services


class Command(BaseCommand):
    help = "Restore a backup on trial and compare it with what it says it holds. A changed bit anywhere is found."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path)

    def handle(self, *, file: Path, **options: Any) -> None:
        try:
            proof = services.prove_backup(file)
        except services.Damaged as trouble:
            self.note(file, str(trouble))
            raise CommandError(f"{file}: {trouble}") from trouble
        except OSError as trouble:
            raise CommandError(f"{file} cannot be read: {trouble.strerror}.") from trouble
        if proof.problems:
            raise CommandError(f"{file} is not whole:\n" + "\n".join(proof.problems))
        rows, files = sum(proof.manifest.tables.values()), len(proof.manifest.files) - 1
        self.stdout.write(
            f"{file} is whole: {rows:,} rows and {files:,} files, as on {proof.manifest.made_at[:16]}."
        )
        if proof.not_tried:
            self.stdout.write(proof.not_tried)

    def note(self, file: Path, words: str) -> None:
        """The studio's list of backups learns of it; a machine without a studio has no list."""
        try:
            services.note_trouble(file, words)
        except DatabaseError:
            self.stderr.write("There is no studio here to note it in.")
