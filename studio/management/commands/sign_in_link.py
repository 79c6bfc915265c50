"""Print a one-time link that signs someone in."""

from argparse import ArgumentParser
from typing import Any

from django.core.management import BaseCommand, CommandError

from studio.models import Person
from studio.people.services import LINK_LIVES, first_keeper
from studio.serving.services import addresses_served, way_in
from studio.vocabulary import LinkPurpose


class Command(BaseCommand):
    help = "Print a link that signs one person in, once; without a name, the studio’s first keeper."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("name", nargs="?", help="the person’s sign-in name")

    def handle(self, *args: Any, name: str | None, **options: Any) -> None:
        path = way_in(someone(name))
        for address in addresses_served():
            self.stdout.write(address + path)
        minutes = int(LINK_LIVES[LinkPurpose.SIGN_IN].total_seconds() // 60)
        self.stderr.write(f"It works once, within {minutes} minutes.")


def someone(name: str | None) -> Person:
    """The person with this sign-in name, or the first keeper when none is given."""
    if name is None:
        return first_keeper()
    person = Person.objects.filter(username__iexact=name, is_active=True).first()
    if person is None:
        names = (
            ", ".join(Person.objects.filter(is_active=True).values_list("username", flat=True))
            or "nobody yet"
        )
        raise CommandError(f"Nobody signs in as “{name}”. These do: {names}.")
    return person
