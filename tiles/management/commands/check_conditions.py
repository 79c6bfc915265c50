"""Prove that every outcome's copy of its conditions is true."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from tiles.conditions import services
from tiles.conditions.queries import untrue_copies
from tiles.models import Outcome


class Command(BaseCommand):
    help = "Compare every outcome’s copied conditions with the records they are copied from."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--mend", action="store_true", help="make untrue copies true")

    def handle(self, *args: Any, **options: Any) -> None:
        untrue = list(untrue_copies())
        for outcome, lines in untrue:
            self.stdout.write(f"outcome {outcome.pk} ({outcome}): {'; '.join(lines)}")
        checked = Outcome.everything.count()
        if untrue and options["mend"]:
            services.refresh(outcome.pk for outcome, _ in untrue)
            self.stdout.write(f"{len(untrue)} of {checked} copies mended.")
        elif untrue:
            raise CommandError(
                f"{len(untrue)} of {checked} outcomes carry conditions that are not true. "
                "Run check_conditions --mend to write them again."
            )
        else:
            self.stdout.write(f"All {checked} copies of conditions are true.")
