"""The mark of the request that is being answered, put on every line that is logged meanwhile."""

import logging
import re
import secrets
from contextvars import ContextVar

# A proxy's own mark is taken over if it is one; whatever else it may be stays out of the log.
_MARK = re.compile(r"[A-Za-z0-9._-]{1,64}")

_present: ContextVar[str] = ContextVar("request_mark", default="")


def begin(given: str) -> str:
    """Mark what is logged from here on, by the mark a proxy gave or by a new one; returns it."""
    mark = given if _MARK.fullmatch(given) else secrets.token_hex(8)
    _present.set(mark)
    return mark


class Marking(logging.Filter):
    """Writes the mark onto each record; "-" outside a request."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Let every record through, marked."""
        record.request = _present.get() or "-"
        return True
