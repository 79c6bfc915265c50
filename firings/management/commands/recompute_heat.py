"""All curves' heat work anew: after the model changed, or a restored backup brought figures of an older one."""

import json
from typing import Any

from django.core.management.base import CommandError, CommandParser

from firings.curves.services import Recomputed, recompute
from firings.management.one_line import OneLineCommand, within
from firings.models import Firing

# The most that the column of numbers holds.
HIGHEST_NUMBER = 2**31 - 1


def firing_ids(numbers: list[int] | None) -> list[int] | None:
    """The keys of firings by their numbers; None for all.

    Raises
    ------
    CommandError : no such firing, or it has no curve
    """
    if numbers is None:
        return None
    for number in numbers:
        within("firing", number, 1, HIGHEST_NUMBER)
    found = dict(Firing.objects.filter(number__in=numbers).values_list("number", "pk"))
    if missing := [number for number in numbers if number not in found]:
        raise CommandError(f"There is no firing F-{missing[0]:04d} in the logbook.")
    with_curve = set(
        Firing.objects.filter(number__in=numbers, curves__isnull=False).values_list("number", flat=True)
    )
    if bare := [number for number in numbers if number not in with_curve]:
        raise CommandError(f"Firing F-{bare[0]:04d} has no logged curve.")
    return list(found.values())


def in_words(one: Recomputed) -> str:
    if one.before == one.after:
        return f"F-{one.firing_number:04d}: figures changed, the reached cone did not"
    before, after = ("none" if cone is None else f"{cone:.2f}" for cone in (one.before, one.after))
    return f"F-{one.firing_number:04d}: reached cone {before} to {after}"


class Command(OneLineCommand):
    help = "Sum the heat work of all logged curves anew; write, and let results follow, only where figures change."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--firing",
            type=int,
            action="append",
            metavar="N",
            help="only this firing, and later ones that learn from it; may be given again",
        )
        parser.add_argument("--json", action="store_true", help="one JSON object")

    def handle(self, *args: Any, **options: Any) -> None:
        firings = curves = 0
        changed: list[Recomputed] = []
        for one in recompute(firing_ids(options["firing"])):
            firings, curves = firings + 1, curves + one.curves
            if one.changed:
                changed.append(one)
                if not options["json"]:
                    self.stdout.write(in_words(one))
        moved = [one for one in changed if one.before != one.after]
        if options["json"]:
            self.stdout.write(json.dumps(_plain(firings, curves, changed)))
        else:
            self.stdout.write(
                f"Curves summed: {curves}, of firings: {firings}. Firings whose figures changed: {len(changed)}, "
                f"whose reached cone changed: {len(moved)}."
            )


def _plain(firings: int, curves: int, changed: list[Recomputed]) -> dict[str, Any]:
    return {
        "firings": firings,
        "curves": curves,
        "changed": [
            {"firing": one.firing_number, "reached_before": one.before, "reached_after": one.after}
            for one in changed
        ],
    }
