"""Take glazes or clay bodies in from a spreadsheet."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from firings.models.kept import StaleEdit
from studio.importing.services import FORMS, Report, take_in
from studio.importing.table import Unreadable
from studio.management.commands.sign_in_link import someone

SHOWN_AT_MOST = 50


class Command(BaseCommand):
    help = "Make or change glazes or clay bodies from a spreadsheet saved as CSV, all rows or none; by their names."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("kind", choices=FORMS, help="what the rows are")
        parser.add_argument("file", type=Path, help="the CSV file; its first row names the columns")
        parser.add_argument("--by", help="sign-in name of who does it; else the studio's first keeper")
        parser.add_argument(
            "--try", action="store_true", dest="only_try", help="say what it would do, keep nothing"
        )

    def handle(self, *, kind: str, file: Path, by: str | None, only_try: bool, **options: Any) -> None:
        """Take the file in, or say row by row why not."""
        try:
            report = take_in(file.read_bytes(), kind, by=someone(by), only_try=only_try)
        except Unreadable as trouble:
            raise CommandError(str(trouble)) from trouble
        except StaleEdit as stale:
            raise CommandError(
                f"{stale.current} was just changed by somebody. Nothing was kept; try again."
            ) from stale
        except OSError as trouble:
            raise CommandError(f"{file}: {trouble.strerror or trouble}.") from trouble
        if report.left_out:
            self.stdout.write(f"Columns left out: {', '.join(report.left_out)}.")
        self._refuse(report)
        counts = f"{len(report.new)} new, {len(report.changed)} changed, {report.unchanged} as they were"
        self.stdout.write(f"It would make: {counts}. Nothing was kept." if only_try else f"{counts}.")

    def _refuse(self, report: Report) -> None:
        for complaint in report.complaints[:SHOWN_AT_MOST]:
            self.stderr.write(str(complaint))
        if report.complaints:
            raise CommandError(f"{len(report.complaints)} things to mend first; nothing was kept.")
