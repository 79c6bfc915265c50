"""Making a long print and keeping its file for a day."""

import logging
import secrets
from datetime import timedelta
from pathlib import Path

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from firings.models import User
from firings.preferences import Preferences
from tiles.models import PrintRun
from tiles.prints.kinds import Asked
from tiles.prints.paper import print_pages
from tiles.prints.printers.queries import calibration_of, usual_printer
from tiles.prints.tray import queries

# So many pages, photographs included, come within a few seconds; more are made in the background.
AT_ONCE = 12
KEPT_FOR = timedelta(days=1)
# The row is told every so many pages: each telling is a write to the database.
TELL_EVERY = 5
log = logging.getLogger(__name__)


def title_of(paper: str) -> str:
    """
    >>> title_of("A4")
    'Print tray, A4'
    """
    return f"Print tray, {paper}" if paper else "Print tray"


@transaction.atomic
def begin(person: User, *, paper: str, pages: int, preferences: Preferences) -> PrintRun:
    """Have the tray printed in the background as it is now; later changes to it do not count."""
    asked = [
        {"kind": name, "keys": list(one.keys), "options": dict(one.options)}
        for name, one in queries.asked_of(person, preferences)
    ]
    return PrintRun.objects.create(
        person=person, title=title_of(paper), asked=[{"paper": paper}, *asked], pages=pages
    )


def make(run: PrintRun, preferences: Preferences) -> None:
    """Draw the pages, telling how far it is, and keep the file; what goes wrong stands in the row."""
    if run.finished_at is not None:
        return
    first, *asked = run.asked
    wanted = [
        (one["kind"], Asked(tuple(one["keys"]), one["options"], preferences, True, run.person))
        for one in asked
    ]
    parts = queries.parts_of(wanted, run.person, notes=False)
    pages = queries.pages_on(parts, first["paper"])
    run.pages = len(pages)
    run.trouble = " ".join(part.trouble for part in parts if part.trouble)
    if pages:
        run.file_name = _kept(run, pages, preferences)
    run.finished_at = timezone.now()
    run.save()


def _kept(run: PrintRun, pages: list[queries.Page], preferences: Preferences) -> str:
    printed = print_pages(
        pages,
        title=run.title,
        author=preferences.studio_name,
        calibration=calibration_of(usual_printer(run.person)),
        tell=lambda done: _tell(run, done),
    )
    folder = _folder()
    folder.mkdir(parents=True, exist_ok=True)
    name = f"{secrets.token_urlsafe(18)}.pdf"
    half = folder / f"{name}.part"
    half.write_bytes(printed.pdf)
    half.replace(folder / name)
    return name


def _tell(run: PrintRun, done: int) -> None:
    run.pages_done = done
    if done % TELL_EVERY == 0:
        PrintRun.objects.filter(pk=run.pk).update(pages_done=done, pages=run.pages)


def file_of(run: PrintRun) -> Path | None:
    """Where the finished print lies."""
    return _folder() / run.file_name if run.file_name else None


def forget_old_runs() -> int:
    """Delete prints of yesterday and before, files first; how many."""
    old = list(PrintRun.objects.filter(started_at__lt=timezone.now() - KEPT_FOR))
    for run in old:
        if path := file_of(run):
            path.unlink(missing_ok=True)
        run.delete()
    return len(old)


def _folder() -> Path:
    return Path(settings.DATA_DIR) / "prints"
