"""Eight people who write at once: python -m tests.bench.writers

A served studio of its own on SQLite, as `manage.py start` serves it; each person keeps a hundred glazes by the form,
over HTTP, one after the other. Told are what was lost, what the database refused and how long an answer took. Exits
with 1 where anything was lost or refused, or the slowest in a hundred took half a second.
"""

import argparse
import http.client
import os
import socket
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path
from urllib.parse import urlencode

import django

FOLDER = tempfile.TemporaryDirectory(prefix="tilewright-bench-")
os.environ["TILEWRIGHT_DATA"] = FOLDER.name
os.environ.pop("DATABASE_URL", None)
os.environ["DJANGO_SETTINGS_MODULE"] = "studio.settings"
django.setup()

from django.conf import settings  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.test import Client  # noqa: E402

from studio.people.services import add_person  # noqa: E402
from studio.roles import Role  # noqa: E402
from tiles.models import Glaze  # noqa: E402

MOST_P99_MS = 500
READY_S, MOST_S = 120, 300
TOKEN = "bench" * 6 + "ab"
FORM = "/catalogue/glazes/new/"
GLAZE = {
    "kind": "glaze", "swatch": "#335577", "cone_low_order": "cone 5", "cone_high_order": "10", "surface": "satin",
    "opacity": "opaque", "coats_low": "2", "coats_high": "3", "drying_min": "30", "csrfmiddlewaretoken": TOKEN,
}  # fmt: skip


def free_port() -> int:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        return int(taken.getsockname()[1])


def sessions(people: int) -> list[str]:
    """Everybody's session, as if they had signed in."""
    found = []
    for number in range(people):
        client = Client()
        client.force_login(add_person(f"Writer {number}", Role.RECORDER))
        found.append(client.cookies[settings.SESSION_COOKIE_NAME].value)
    return found


class Writer(threading.Thread):
    """One person, one browser: a form sent, its answer awaited, the next."""

    def __init__(self, port: int, number: int, session: str, writes: int, start: threading.Barrier) -> None:
        super().__init__(daemon=True)
        self.port, self.number, self.writes, self.start_together = port, number, writes, start
        self.headers = {
            "Content-Type": "application/x-www-form-urlencoded",
            "Cookie": f"{settings.SESSION_COOKIE_NAME}={session}; csrftoken={TOKEN}",
        }
        self.took_ms: list[float] = []
        self.statuses: list[int] = []

    def run(self) -> None:
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        self.start_together.wait()
        for write in range(self.writes):
            body = urlencode(GLAZE | {"name": f"Glaze {self.number}-{write}"})
            began = time.perf_counter()
            try:
                line.request("POST", FORM, body, self.headers)
                answer = line.getresponse()
                answer.read()
                self.statuses.append(answer.status)
            except (OSError, http.client.HTTPException):
                line.close()
                self.statuses.append(0)
            self.took_ms.append(1000 * (time.perf_counter() - began))


def wait_until_served(port: int, server: subprocess.Popen[str]) -> None:
    until = time.monotonic() + READY_S
    while time.monotonic() < until and server.poll() is None:
        try:
            line = http.client.HTTPConnection("127.0.0.1", port, timeout=5)
            line.request("GET", "/healthz")
            if line.getresponse().status == 200:
                return
        except OSError:
            time.sleep(0.3)
    server.terminate()
    sys.exit("The studio was not served: " + Path(FOLDER.name, "server.log").read_text()[-2000:])


def measure(people: int, writes: int) -> int:
    call_command("migrate", verbosity=0)
    port, start = free_port(), threading.Barrier(people)
    writers = [Writer(port, number, one, writes, start) for number, one in enumerate(sessions(people))]
    log = Path(FOLDER.name, "server.log")
    with log.open("w") as told:
        command = [sys.executable, "-W", "ignore", "manage.py", "start", "--empty"]
        server = subprocess.Popen(
            command, env=os.environ | {"PORT": str(port)}, stdout=told, stderr=subprocess.STDOUT, text=True
        )
        try:
            wait_until_served(port, server)
            began = time.perf_counter()
            for writer in writers:
                writer.start()
            for writer in writers:
                writer.join(MOST_S)
            taken_s = time.perf_counter() - began
        finally:
            server.terminate()
            server.wait(60)
    return told_of(writers, taken_s, people * writes, log.read_text())


def told_of(writers: list[Writer], taken_s: float, wanted: int, log: str) -> int:
    """Print the figures; 1 where a bound is broken."""
    took_ms = sorted(one for writer in writers for one in writer.took_ms)
    statuses = [one for writer in writers for one in writer.statuses]
    refused = sum(status >= 500 or status == 0 for status in statuses)
    lost, locked = wanted - Glaze.objects.count(), log.count("database is locked")
    p99_ms = took_ms[int(len(took_ms) * 0.99)]
    print(
        f"{len(writers)} writers, {wanted} writes: {lost} lost, {locked} locked, {refused} failed, "
        f"median {took_ms[len(took_ms) // 2]:.0f} ms, p99 {p99_ms:.0f} ms, longest {took_ms[-1]:.0f} ms, "
        f"{wanted / taken_s:.0f} a second"
    )
    return int(bool(lost or locked or refused) or p99_ms >= MOST_P99_MS)


def main() -> int:
    words = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    words.add_argument("--people", type=int, default=8)
    words.add_argument("--writes", type=int, default=100)
    asked = words.parse_args()
    return measure(asked.people, asked.writes)


if __name__ == "__main__":
    sys.exit(main())
