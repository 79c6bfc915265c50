"""Commands for scripts: what is asked for wrongly ends with one clear line and a non-zero code."""

import math
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser


class OneLineParser(CommandParser):
    """Says what is wrong without the page of usage before it; --help has that."""

    def print_usage(self, file: Any = None) -> None:
        """Nothing."""


class OneLineCommand(BaseCommand):
    """A command whose refusals are one line."""

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        parser = super().create_parser(prog_name, subcommand, **kwargs)
        parser.__class__ = OneLineParser
        return parser


def within(name: str, figure: float | None, least: float, most: float) -> None:
    """Refuse a figure out of range.

    Raises
    ------
    CommandError : names the option and the range
    """
    if figure is not None and not (math.isfinite(figure) and least <= figure <= most):
        raise CommandError(f"--{name} {figure:g} is out of range; write {least:g} to {most:g}.")
