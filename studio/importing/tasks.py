"""Long spreadsheets are tried, kept and undone while nobody waits."""

from django.db import transaction
from django_tasks import task

from studio.importing import services
from studio.importing.undoing import services as undoing
from studio.models import Person, SpreadsheetImport
from studio.vocabulary import ImportState

CHECK, KEEP, UNDO = "check", "keep", "undo"
BROKE_OFF = "Something went wrong on the studio’s machine. Nothing was changed; try it again."


@transaction.atomic
def ask_worker(of: SpreadsheetImport, what: str, *, by: Person) -> None:
    """Have a worker do it; asked twice is done once."""
    state = ImportState.KEPT if what == UNDO else ImportState.OPEN
    if services.set_to_work(of, state):
        work_on.enqueue(of.pk, what, by.pk)


@task()
def work_on(import_id: int, what: str, person_id: int) -> str:
    """Work on a spreadsheet that was brought in."""
    of = SpreadsheetImport.objects.filter(pk=import_id, state=ImportState.WORKING.value).first()
    by = Person.objects.filter(pk=person_id).first()
    if of is None or by is None:
        return "nothing to do"
    try:
        if what == UNDO:
            return undoing.undo(of, by=by).words
        done = services.keep(of, by=by) if what == KEEP else services.check(of)
    except (services.Refused, services.Unreadable) as trouble:
        services.give_up(of, str(trouble))
        return str(trouble)
    except Exception:
        services.give_up(of, BROKE_OFF)
        raise
    return str(done.state)
