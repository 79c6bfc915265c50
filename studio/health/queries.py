"""Trying the database and the photo store for real."""

import logging
import secrets
from collections.abc import Callable

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import DatabaseError

from studio.models import Person
from studio.work.queries import work_state

logger = logging.getLogger(__name__)

# Larger than what file systems tuck into a directory entry: a full disk must refuse it.
PROBE_BYTES = 16 * 1024


def health() -> dict[str, str]:
    """Each part of the installation with "ok" or what is wrong; reasons go to the log, as this is public."""
    return {
        "database": _state(_database_answers, "does not answer"),
        "photos": _state(_photo_store_keeps, "cannot be written and read"),
    }


def work() -> str:
    """ "ok", or that nobody does the work that waits. Pages are served all the same, so this is no ill health."""
    try:
        return work_state().words
    except DatabaseError:
        return "not known"


def _state(try_it: Callable[[], None], trouble: str) -> str:
    try:
        try_it()
    except Exception:
        logger.exception("Health: %s failed", try_it.__name__)
        return trouble
    return "ok"


def _database_answers() -> None:
    Person.objects.exists()


def _photo_store_keeps() -> None:
    """Write a file into the photo store, read it back, remove it."""
    written = secrets.token_bytes(PROBE_BYTES)
    name = default_storage.save(f".probe-{secrets.token_hex(8)}", ContentFile(written))
    try:
        with default_storage.open(name) as file:
            read = file.read()
    finally:
        default_storage.delete(name)
    if read != written:
        raise OSError("the photo store gave back something else than was written")
