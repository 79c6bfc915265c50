"""Prove that every outcome's copy of its conditions is true."""

from collections.abc import Iterator
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from tiles.conditions import services
from tiles.conditions.queries import Copy, copies_of, truths_of
from tiles.models import Outcome

BATCH = 500


def differences(truth: Copy, copy: Copy) -> list[str]:
    """What the copy says and what is true, one line for each that differs."""
    lines = [
        f"{name} is {copy.columns[name]!r}, should be {value!r}"
        for name, value in truth.columns.items()
        if copy.columns[name] != value
    ]
    if truth.layers != copy.layers:
        lines.append(f"layers are {copy.layers}, should be {truth.layers}")
    return lines


def untrue_copies() -> Iterator[tuple[Outcome, list[str]]]:
    """Every outcome, the bin's included, whose copy is not true, with what differs."""
    ids = list(Outcome.everything.order_by("pk").values_list("pk", flat=True))
    for start in range(0, len(ids), BATCH):
        outcomes = list(
            Outcome.everything.filter(pk__in=ids[start : start + BATCH]).select_related(
                "tile", "zone", "firing"
            )
        )
        truths, copies = truths_of(outcomes), copies_of(outcomes)
        for outcome in outcomes:
            if lines := differences(truths[outcome.pk], copies[outcome.pk]):
                yield outcome, lines


class Command(BaseCommand):
    help = "Compare every outcome's copied conditions with the records they are copied from."

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
