"""A covering set of factors and levels: few tiles, and every two (or three) levels meet on some tile."""

import json
from argparse import ArgumentTypeError
from collections.abc import Callable
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from tiles.plans.covering import CoveringSet, ImpossiblePlan, covering_set


def whole_numbers(text: str) -> tuple[int, ...]:
    """Whole numbers with a comma between: 3,3,4."""
    try:
        return tuple(int(one) for one in text.split(","))
    except ValueError:
        raise ArgumentTypeError(
            f"{text!r} is not whole numbers with a comma between, such as 3,3,4"
        ) from None


def combination(text: str) -> tuple[tuple[int, int], ...]:
    """Factors and levels that never come together: 0:1,2:3."""
    try:
        pairs = [tuple(int(one) for one in pair.split(":")) for pair in text.split(",")]
        return tuple((factor, level) for factor, level in pairs)
    except ValueError:
        raise ArgumentTypeError(
            f"{text!r} is not FACTOR:LEVEL with a comma between, counted from 0, such as 0:1,2:3"
        ) from None


def in_words(found: CoveringSet, levels: tuple[int, ...]) -> list[str]:
    """The plan as a person reads it."""
    size = "no plan has fewer" if found.is_smallest else f"no plan has fewer than {found.fewest}"
    rows = f"{len(found.rows)} row{'' if len(found.rows) == 1 else 's'}"
    return [
        *(" ".join(f"{level:>2}" for level in row) for row in found.rows),
        f"{rows} for {len(levels)} factors, {found.way}; {size}",
    ]


class Command(BaseCommand):
    help = (
        "A covering set: rows of level indices, counted from 0, one for each factor in the order of --levels. "
        "Every two levels of different factors meet in some row, or every three with --strength 3."
    )

    # Pure computation: it needs no database, no pages, no settings that are right.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        takes: Callable[..., Any] = parser.add_argument
        takes(
            "--levels",
            type=whole_numbers,
            required=True,
            help="how many levels each factor has, such as 3,3,4",
        )
        takes("--strength", type=int, default=2, help="how many conditions must meet: 1, 2 or 3")
        takes(
            "--never",
            type=combination,
            action="append",
            default=[],
            metavar="F:L,F:L",
            help="levels that never come together; give it again for each rule",
        )
        takes(
            "--exists",
            type=whole_numbers,
            action="append",
            default=[],
            metavar="L,L,…",
            help="a row that exists already and counts; give it again for each",
        )
        takes("--json", action="store_true", help='one JSON object: {"rows": [[level index per factor], …]}')

    def handle(self, *args: Any, **options: Any) -> None:
        levels = options["levels"]
        try:
            found = covering_set(
                levels, options["strength"], never=options["never"], existing=options["exists"]
            )
        except ImpossiblePlan as trouble:
            raise CommandError(str(trouble)) from None
        if options["json"]:
            self.stdout.write(json.dumps({"rows": [list(row) for row in found.rows]}))
        else:
            self.stdout.write("\n".join(in_words(found, levels)))
