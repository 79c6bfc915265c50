"""Serving by several processes, where the system can make them by forking.

Threads of one process wait for each other while pages are drawn: four threads gave 15 pages a second,
two processes 73 (measured on two processors, Python 3.11).
"""

import os
import signal
from collections.abc import Callable
from typing import Any

from gunicorn.app.base import BaseApplication

THREADS_PER_PROCESS = 4

# A photograph of 40 MB over a weak network takes its time; a process that hangs is replaced after this.
PATIENCE_S = 120


# What ends a process while it is still getting ready.
ENDINGS = (signal.SIGINT, signal.SIGQUIT, signal.SIGTERM)


def end_at_once(*_: Any) -> None:
    """A process that has not begun to serve has nothing to finish."""
    os._exit(0)


def heed_endings(arbiter: Any, worker: Any) -> None:
    """Until a forked process listens for itself it holds its parent's ears, and a Ctrl-C would go unheard."""
    for ending in ENDINGS:
        signal.signal(ending, end_at_once)


class StudioServer(BaseApplication):
    """The pages of one studio, served by processes that are forked once everything is loaded."""

    def __init__(self, pages: Callable[..., Any], wishes: dict[str, Any]) -> None:
        self.pages, self.wishes = pages, wishes
        super().__init__()

    def load_config(self) -> None:
        for name, value in self.wishes.items():
            self.cfg.set(name, value)

    def load(self) -> Callable[..., Any]:
        return self.pages


def serve(
    pages: Callable[..., Any], host: str, port: int, *, workers: int, ready: Callable[[], None]
) -> None:
    """Serve until Ctrl-C, a request to end, or the terminal's closing; `ready` is called once when listening."""

    def listening(arbiter: Any) -> None:
        # By default a closed terminal means "load anew", and would leave a server nobody sees.
        arbiter.handle_hup = arbiter.handle_term
        ready()

    wishes = {
        "bind": f"{host}:{port}",
        "workers": workers,
        "worker_class": "gthread",
        "threads": THREADS_PER_PROCESS,
        "preload_app": True,
        "timeout": PATIENCE_S,
        "graceful_timeout": 10,
        "limit_request_line": 8190,
        "loglevel": "warning",
        "control_socket_disable": True,
        "proc_name": "tilewright",
        "when_ready": listening,
        "post_fork": heed_endings,
    }
    StudioServer(pages, wishes).run()
