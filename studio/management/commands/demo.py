"""Load the demo studio."""

import os
from argparse import ArgumentParser
from time import monotonic
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from studio.demo.services import InTheWay, load_demo

# Each keeps its own fields of chance in memory.
MOST_PROCESSES = 4


class Command(BaseCommand):
    help = "Load the demo studio: invented glazes, bodies and people, and a year of fired tiles with photos."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--every", type=int, default=1, metavar="N", help="load one tile in N, to be quicker"
        )
        parser.add_argument(
            "--processes",
            type=int,
            default=min(MOST_PROCESSES, os.cpu_count() or 1),
            help="how many processes draw (0: none but this one)",
        )

    def handle(self, *, every: int, processes: int, verbosity: int, **options: Any) -> None:
        began = monotonic()
        try:
            loaded = load_demo(
                today=timezone.localdate(),
                every=max(every, 1),
                processes=processes,
                say=self.say if verbosity else lambda words: None,
            )
        except InTheWay as trouble:
            raise CommandError(f"{trouble} Load it into an empty data folder: set TILEWRIGHT_DATA.") from None
        if verbosity:
            self.say(
                f"The demo studio is loaded: {loaded.tiles} tiles, {loaded.firings} firings, {loaded.outcomes} judged "
                f"zones, {loaded.photos} photos ({loaded.in_tray} in the sorting tray), "
                f"{monotonic() - began:.0f} s."
            )

    def say(self, words: str) -> None:
        """Print at once, in a terminal and into a file."""
        self.stdout.write(words)
        self.stdout.flush()
