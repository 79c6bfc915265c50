"""Look at everything an installation needs, and say what to do."""

import json
import sys
from dataclasses import asdict
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from studio.doctor.finding import is_healthy
from studio.doctor.queries import look_at_everything


class Command(BaseCommand):
    # Django's own checks make the folder of the cache, even where no studio lies.
    requires_system_checks = []
    help = "Look at database, disk, files, copies, backups and clock, and say what to do. Exit 0 when nothing is ill."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--json", action="store_true", help="one JSON list instead of lines")

    def handle(self, **options: Any) -> None:
        findings = list(look_at_everything())
        if options["json"]:
            told = json.dumps([asdict(finding) for finding in findings], ensure_ascii=False, indent=1)
        else:
            told = "\n".join(finding.line() for finding in findings)
        self.stdout.write(told)
        if not is_healthy(findings):
            sys.exit(1)
