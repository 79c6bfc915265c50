"""Keep the database's log of what was written about results: the triggers that fill it, and its end."""

from django.db import connection, transaction

from tiles.columns import triggers
from tiles.models import ResultChange

# A process that slept through more changes than these reads everything anew.
KEPT = 50_000


@transaction.atomic
def watch_writes(*, unseen: bool = False) -> None:
    """Make the triggers, and note that anything may have changed, unless nobody sees it; where the tables stand."""
    tables = set(connection.introspection.table_names())
    if {triggers.LOG, *(watch.table for watch in triggers.WATCHED)} - tables:
        return
    with connection.cursor() as cursor:
        for statement in triggers.made(connection.vendor):
            cursor.execute(statement)
        if not unseen:
            cursor.execute(triggers.all_changed(connection.vendor))


@transaction.atomic
def stop_watching() -> None:
    """Take the triggers off, as before tables are rebuilt or filled by the million."""
    with connection.cursor() as cursor:
        for statement in triggers.taken_off(connection.vendor):
            cursor.execute(statement)


def forget_old_changes() -> int:
    """Shorten the log; returns by how many rows."""
    newest = ResultChange.objects.order_by("-pk").values_list("pk", flat=True).first() or 0
    return ResultChange.objects.filter(pk__lte=newest - KEPT).delete()[0]
