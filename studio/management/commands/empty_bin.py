"""Delete for good what has lain in the bin for 30 days."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from studio.bin.services import Emptied, empty_bin


class Command(BaseCommand):
    help = "Delete for good what has lain in the bin for 30 days. What other records still need stays."

    def handle(self, *args: Any, **options: Any) -> None:
        emptied = empty_bin(timezone.now())
        self.stdout.write(_gone_words(emptied))
        for words in emptied.still_needed:
            self.stdout.write(f"Still needed, so it stays in the bin: {words}")


def _gone_words(emptied: Emptied) -> str:
    if not emptied.gone:
        return "Nothing has been in the bin for 30 days."
    return "Gone for good: " + ", ".join(f"{number} {kind}" for kind, number in emptied.gone.items()) + "."
