"""Make a studio's worth of invented outcomes, to measure with."""

from argparse import ArgumentParser
from time import monotonic
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from tiles.made_up.services import NotEmpty, make_outcomes


class Command(BaseCommand):
    help = "Make invented tiles, firings and judged outcomes by the thousand, to measure searches with."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("outcomes", type=int, help="how many, such as 10000, 100000 or 1000000")
        parser.add_argument("--seed", type=int, default=1, help="another number gives another studio")
        parser.add_argument(
            "--beside",
            action="store_true",
            help="although the studio holds tiles: the new ones lie beside them",
        )

    def handle(self, *, outcomes: int, seed: int, beside: bool, verbosity: int, **options: Any) -> None:
        if not 1 <= outcomes <= 20_000_000:
            raise CommandError("Say how many outcomes, from 1 to 20000000.")
        began = monotonic()
        try:
            made = make_outcomes(outcomes, seed, beside=beside, say=self._say if verbosity > 1 else _silent)
        except NotEmpty as trouble:
            raise CommandError(f"{trouble} Make them in an empty data folder, or say --beside.") from None
        if verbosity:
            self._say(f"{made} outcomes made in {monotonic() - began:.0f} s.")

    def _say(self, words: str) -> None:
        self.stdout.write(words)
        self.stdout.flush()


def _silent(words: str) -> None:
    return None
