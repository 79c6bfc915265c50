"""Keeps one worker running beside the pages: a process of its own, that starts it, waits, and starts it anew.

    python -m studio.serving.minder COMMAND…

It lives while its standard input is open. Whoever started it holds the other end, so that however that one ends,
by Ctrl-C or killed hard, minder and worker end too: the worker when it has finished what it is doing. It is no
thread of the serving process, as that makes others by forking, which a thread does not survive.
"""

import secrets
import subprocess  # nosec B404 # our own command, from no input
import sys
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

# A worker that dies at once, each time, is started ever more seldom.
FIRST_WAIT_S, LONGEST_WAIT_S = 1.0, 60.0
# One that lived this long did not die of its start.
LIVED_S = 60.0
# How long a worker may take to finish what it is doing; then it is ended, and its work is taken up next time.
FINISH_S = 20.0
GLANCE_S = 0.2


@contextmanager
def minded(command: Sequence[str]) -> Iterator[None]:
    """Keep a worker running while the block does; returns when it has ended."""
    minder = subprocess.Popen(  # nosec B603
        [sys.executable, "-m", "studio.serving.minder", *command],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        start_new_session=True,  # a Ctrl-C in the terminal is for the one who serves
    )
    try:
        yield
    finally:
        if minder.stdin:
            minder.stdin.close()
        minder.wait()


def mind(command: Sequence[str], closing: threading.Event) -> None:
    """Keep `command` running until told to close; each is told its name and the name of the dead one before."""
    wait_s, before = FIRST_WAIT_S, ""
    while not closing.is_set():
        name, began = secrets.token_hex(16), time.monotonic()
        words = ["--minded", "--name", name, *(["--instead-of", before] if before else [])]
        _run([*command, *words], closing)
        before = name
        wait_s = FIRST_WAIT_S if time.monotonic() - began > LIVED_S else min(2 * wait_s, LONGEST_WAIT_S)
        closing.wait(wait_s)


def _run(command: Sequence[str], closing: threading.Event) -> None:
    """Run one worker until it dies, or until told to close and it has finished."""
    with subprocess.Popen(command, stdin=subprocess.PIPE) as worker:  # nosec B603
        while worker.poll() is None and not closing.wait(GLANCE_S):
            pass
        if worker.stdin:
            worker.stdin.close()
        try:
            worker.wait(FINISH_S)
        except subprocess.TimeoutExpired:
            worker.kill()


def _close_with_input(closing: threading.Event) -> None:
    sys.stdin.buffer.read()
    closing.set()


def main() -> None:
    """Mind the command given as arguments until standard input closes."""
    closing = threading.Event()
    threading.Thread(target=_close_with_input, args=[closing], daemon=True).start()
    mind(sys.argv[1:], closing)


if __name__ == "__main__":
    main()
