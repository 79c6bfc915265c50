"""Long spreadsheets are tried, kept and undone while nobody waits."""

from django_tasks import task

from studio.importing import services
from studio.importing.undoing import services as undoing
from studio.models import Person, SpreadsheetImport
from studio.vocabulary import ImportState

CHECK, KEEP, UNDO = "check", "keep", "undo"


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
    return str(done.state)
