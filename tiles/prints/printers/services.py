"""Remembering who prints on which printer."""

from django.db import transaction

from firings.keys import key_of
from firings.models import User
from tiles.models import Printer, PrintHabit
from tiles.prints.printers.queries import usual_printer


@transaction.atomic
def choose(person: User, said: str | None) -> Printer | None:
    """The printer that is named by its key, remembered from now on; "none" for none; unsaid, the usual one."""
    if said is None:
        return usual_printer(person)
    printer = Printer.objects.filter(pk=key_of(said)).first()
    PrintHabit.objects.update_or_create(person=person, defaults={"printer": printer})
    return printer
