"""The port a studio is served on, noted in its folder, so that a command typed beside it need not be told."""

import os
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

NAME = "port"


@contextmanager
def port_noted(folder: Path, port: int) -> Iterator[None]:
    """Note the port while the studio is served. Processes forked meanwhile come by here too when they end."""
    place, noter = folder / NAME, os.getpid()
    place.write_text(str(port))
    try:
        yield
    finally:
        if os.getpid() == noter:
            place.unlink(missing_ok=True)


def port_served(folder: Path, host: str) -> int | None:
    """The port that is noted there, if something listens on it: a server killed hard leaves its note behind."""
    try:
        port = int((folder / NAME).read_text())
        with socket.create_connection((host, port), timeout=1):
            return port
    except (OSError, ValueError, OverflowError):
        return None
