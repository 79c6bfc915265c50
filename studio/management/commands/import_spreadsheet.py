"""Take glazes, clay bodies or last year's results in from a spreadsheet."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from firings.models.kept import StaleEdit
from firings.words import counted
from studio.importing.fields import KINDS
from studio.importing.page import NewNames, made_words, new_names
from studio.importing.reading import Unreadable
from studio.importing.report import Report, grouped
from studio.importing.services import take_in
from studio.management.commands.sign_in_link import someone

SHOWN_AT_MOST = 50


class Command(BaseCommand):
    help = (
        "Make or change glazes or clay bodies, or write down results of fired tiles, from a spreadsheet (.xlsx or "
        "CSV), all rows or none. Columns and names are taken as guessed; the studio’s own page lets one choose."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("kind", choices=sorted(KINDS), help="what the rows are")
        parser.add_argument(
            "file", type=Path, help="the .xlsx or CSV file; one of its first rows names the columns"
        )
        parser.add_argument("--by", help="sign-in name of who does it; else the studio’s first keeper")
        parser.add_argument(
            "--try", action="store_true", dest="only_try", help="say what it would do, keep nothing"
        )

    def handle(self, *, kind: str, file: Path, by: str | None, only_try: bool, **options: Any) -> None:
        """Take the file in, or say row by row why not."""
        try:
            report = take_in(file.read_bytes(), kind, by=someone(by), only_try=only_try, name=file.name)
        except Unreadable as trouble:
            raise CommandError(str(trouble)) from trouble
        except StaleEdit as stale:
            raise CommandError(
                f"{stale.current} was just changed by somebody. Nothing was kept; try again."
            ) from stale
        except OSError as trouble:
            raise CommandError(f"{file}: {trouble.strerror or trouble}.") from trouble
        for said in report.said:
            self.stdout.write(said)
        if report.left_out:
            self.stdout.write(f"Columns left out: {', '.join(report.left_out)}.")
        self._refuse(report)
        counts = _words(report, kind)
        self.stdout.write(f"It would make: {counts}. Nothing was kept." if only_try else f"{counts}.")

    def _refuse(self, report: Report) -> None:
        groups = [one for one in grouped(report.messages) if one.message.stops]
        for one in groups[:SHOWN_AT_MOST]:
            column = f", {one.message.column}" if one.message.column else ""
            self.stderr.write(f"{one.where}{column}: {one.message.words}")
        if report.total:
            raise CommandError(f"{counted(report.total, 'thing')} to mend first; nothing was kept.")


def _words(report: Report, kind: str) -> str:
    made = made_words(report, kind) or ["nothing new"]
    names = [f"{new.kind_words} {_names(new)}" for new in new_names(report, kind)]
    new = f"; new: {'; '.join(names)}" if names else ""
    return f"{', '.join(made)}, {report.unchanged:,} as they were{new}"


def _names(new: NewNames) -> str:
    more = [f"{new.more:,} more"] if new.more else []
    return ", ".join([*new.names, *new.rest, *more])
