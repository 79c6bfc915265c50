"""Long prints, made after the answer went out."""

from dataclasses import fields
from typing import Any

from django_tasks import task

from firings.preferences import Preferences
from tiles.models import PrintRun
from tiles.prints.tray import services as tray
from tiles.prints.tray.runs import services

WHEN_IDLE = -50


@task
def make_soon(run_pk: int, preferences: dict[str, Any]) -> None:
    """Print what was asked for, as the studio likes it written."""
    run = PrintRun.objects.select_related("person").filter(pk=run_pk).first()
    if run is not None:
        services.make(run, Preferences(**preferences))


def make_in_background(run: PrintRun, preferences: Preferences) -> None:
    """Have a run made by the worker."""
    written = {said.name: getattr(preferences, said.name) for said in fields(Preferences)}
    make_soon.enqueue(run.pk, written)


@task(priority=WHEN_IDLE)
def forget_old_prints() -> int:
    """Delete files of long prints after a day, and lines taken out of trays after a week; how many."""
    return services.forget_old_runs() + tray.forget_taken_out()
