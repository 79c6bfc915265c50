"""Serving by threads of one process, where the system cannot fork."""

from collections.abc import Callable
from typing import Any

from waitress.server import create_server

THREADS = 8


def serve(
    pages: Callable[..., Any], host: str, port: int, *, workers: int, ready: Callable[[], None]
) -> None:
    """Serve until Ctrl-C; `ready` is called once when listening. There is one process, whatever `workers` says."""
    server = create_server(
        pages,
        host=host,
        port=port,
        threads=max(THREADS, workers),
        ident="Tilewright",
        clear_untrusted_proxy_headers=False,
    )
    ready()
    server.run()
