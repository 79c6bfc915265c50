"""Telling by what a failing disk or database says which kind of trouble it is."""

import errno
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Trouble:
    """One kind of trouble: the answer's status, and the words for the person whose page failed."""

    status: int
    heading: str
    words: str
    may_pass: bool = False


KEPT_NOTHING = "Nothing of what you just sent was kept, and nothing saved before it is touched."

DISK_FULL = Trouble(
    507,
    "The studio’s disk is full.",
    f"{KEPT_NOTHING} Tell the keeper to make room. Then go back: what you typed is still on the page before this one.",
)
READ_ONLY = Trouble(
    503,
    "The studio’s disk can only be read just now.",
    f"{KEPT_NOTHING} Pages can still be looked at. Tell the keeper; then go back and send it again.",
)
NO_DATABASE = Trouble(
    503,
    "The studio’s database does not answer.",
    f"{KEPT_NOTHING} Wait a moment, go back and send it again. If it stays so, tell the keeper.",
    may_pass=True,
)
BUSY = Trouble(
    503,
    "The studio’s database is busy.",
    f"{KEPT_NOTHING} Somebody’s work takes longer than usual: go back and send it again.",
    may_pass=True,
)
DISK_FAILS = Trouble(
    503,
    "The studio’s disk answers with errors.",
    f"{KEPT_NOTHING} Tell the keeper at once: a backup should be made before anything else.",
)
BROKEN = Trouble(
    500,
    "Something broke on the studio’s machine.",
    "The fault is written in the terminal where Tilewright runs. Nothing saved before it is touched. "
    "Go back: what you typed is still on the page before this one.",
)

# What databases say: SQLite's result codes in words (sqlite.org/rescode.html), PostgreSQL's of classes 08, 53 and 57.
DATABASES_SAY = {
    "disk is full": DISK_FULL,
    "no space left": DISK_FULL,
    "could not extend file": DISK_FULL,
    "readonly database": READ_ONLY,
    "read-only transaction": READ_ONLY,
    "database is locked": BUSY,
    "lock timeout": BUSY,
    "too many clients": BUSY,
    "remaining connection slots": BUSY,
    "disk i/o error": DISK_FAILS,
    "malformed": DISK_FAILS,
    "unable to open database": NO_DATABASE,
    "connection": NO_DATABASE,
    "server closed": NO_DATABASE,
    "terminating": NO_DATABASE,
    "shutting down": NO_DATABASE,
    "starting up": NO_DATABASE,
}

SYSTEM_SAYS = {
    errno.ENOSPC: DISK_FULL,
    errno.EDQUOT: DISK_FULL,
    errno.EROFS: READ_ONLY,
    errno.EACCES: READ_ONLY,
    errno.EIO: DISK_FAILS,
}


def of_the_database(said: str) -> Trouble:
    """The trouble behind a database's words.

    >>> of_the_database("attempt to write a readonly database").heading
    'The studio’s disk can only be read just now.'
    >>> of_the_database("syntax error") is BROKEN
    True
    """
    return next((trouble for sign, trouble in DATABASES_SAY.items() if sign in said.lower()), BROKEN)


def of_the_system(number: int | None) -> Trouble:
    """The trouble behind an error number of the operating system.

    >>> of_the_system(errno.ENOSPC).status
    507
    """
    return SYSTEM_SAYS.get(number or 0, BROKEN)
