"""What keeps a studio from starting, in one line that says what to do."""

import errno
from pathlib import Path

# What a database says, and what it means to the person in front of the machine.
DATABASES_SAY = {
    "psycopg module": "PostgreSQL’s driver is missing. Install it: .venv/bin/pip install 'psycopg[binary]'",
    "connection refused": "PostgreSQL does not answer at the address in DATABASE_URL. Start it, or check the address.",
    "connection timeout": "PostgreSQL does not answer at the address in DATABASE_URL. Start it, or check the address.",
    "password authentication": "PostgreSQL refuses the name or the password in DATABASE_URL.",
    "disk is full": "The disk is full: make room, then start again. What was kept before is untouched.",
    "readonly database": "{folder} cannot be written. Check who may write there, or set TILEWRIGHT_DATA.",
    "unable to open": "The database in {folder} cannot be opened. Check who may read and write there.",
    "disk i/o error": "The disk under {folder} answers with errors. Check it before anything else.",
    "malformed": "The database in {folder} is damaged. Restore a backup; keep the damaged file.",
    "not a database": "The file tilewright.sqlite3 in {folder} is not a database of ours. Move it away.",
    "locked": "Another program holds the database in {folder}. Stop it, then start again.",
}


class CannotStart(Exception):
    """The studio cannot start; the text is the one line a person reads."""


def in_one_line(trouble: Exception, folder: Path) -> str:
    """Say what went wrong and what to do.

    trouble : from the operating system, the settings or the database
    folder : the studio's data folder
    """
    if isinstance(trouble, OSError) and trouble.errno is not None:
        return _of_the_system(trouble, folder)
    words = " ".join(str(trouble).split())
    for sign, meaning in DATABASES_SAY.items():
        if sign in words.lower():
            return meaning.format(folder=folder)
    return words


def _of_the_system(trouble: OSError, folder: Path) -> str:
    place = Path(trouble.filename or folder)
    ours = place.is_relative_to(folder) or folder.is_relative_to(place)
    advice = " Set TILEWRIGHT_DATA to a folder that you can write to." if ours else ""
    match trouble.errno:
        case errno.ENOSPC | errno.EDQUOT:
            return f"The disk is full: no room for {place}. Make room, then start again."
        case errno.EROFS:
            return f"{place} is on a disk that can only be read.{advice}"
        case errno.EACCES | errno.EPERM:
            return f"{place} may not be written by you.{advice}"
        case errno.ENOTDIR | errno.EEXIST:
            return f"{place} is in the way: a folder is needed there.{advice}"
    return f"{place}: {trouble.strerror}.{advice}"
