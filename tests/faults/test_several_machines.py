"""One studio on two machines: pages by several processes each, a worker each, one PostgreSQL, one object store.

Several people send photos, judge and search at once, and a worker is killed in the midst. Every photo is stored and
filed once, no work is done twice, and what one wrote is counted at once wherever anybody looks.
"""

import http.client
import json
import os
import re
import signal
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from django.conf import settings
from django.core.management import call_command
from django.db import connection
from django.db.models import QuerySet
from django.test import Client
from django_tasks import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from studio.people.services import add_person
from studio.roles import Role
from tests.factories import FiringFactory, GlazeFactory, TileFactory, fired_outcomes, glaze_tile
from tests.object_server import free_port, new_bucket, object_server
from tests.tiles.photos import corpus
from tests.tiles.unloading.test_pages import typed
from tiles.looking.tasks import look_at_photo_soon
from tiles.models import Glaze, Outcome, Photo, PhotoFiling, Tile

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(settings.ON_SQLITE, reason="several machines share a PostgreSQL"),
]

ROOT = Path(__file__).parents[2]
PATIENCE_S = 120
PROCESSES, PEOPLE, TILES_EACH, ZONES = 2, 4, 3, (1, 4, 5)
# How often a count is asked of each machine after a write, so that each of its processes comes to answer.
LOOKS = 3
FIRING = 231
TOKEN = "several" * 4 + "many"


@dataclass
class Machine:
    """A machine with a disk of its own, and what runs on it."""

    folder: Path
    surroundings: dict[str, str]
    port: int = field(default_factory=free_port)

    def run(self, *words: str) -> subprocess.Popen[bytes]:
        """Begin a command of the product; what it prints is kept."""
        self.folder.mkdir(exist_ok=True)
        with self.log.open("ab") as log:
            return subprocess.Popen(
                [sys.executable, "-W", "ignore", "manage.py", *words],
                cwd=ROOT,
                env={**self.surroundings, "TILEWRIGHT_DATA": str(self.folder), "PORT": str(self.port)},
                stdout=log,
                stderr=subprocess.STDOUT,
            )

    @property
    def log(self) -> Path:
        return self.folder / "printed.log"

    def last_words(self) -> str:
        return self.log.read_text()[-3000:]

    def is_serving(self) -> bool:
        try:
            return ask(self.port, "GET", "/healthz")[0] == 200
        except OSError:
            return False

    def processes_that_answered(self, view: str) -> int:
        """How many of its processes have served this view: each counts its requests in a file of its own."""
        counted = (self.folder / "metrics").glob("counter_*.db")
        return sum(view.encode() in one.read_bytes() for one in counted)


@dataclass
class Studio:
    """The machines of a studio, its workers by name, and the bucket with the photos."""

    machines: list[Machine]
    bucket: Any
    running: ExitStack
    workers: dict[str, subprocess.Popen[bytes]] = field(default_factory=dict)

    def run_worker(self, name: str, machine: Machine) -> None:
        """Begin a worker, that ends with the studio."""
        self.workers[name] = machine.run("worker", "--name", name)
        self.running.callback(end, self.workers[name])


@pytest.fixture
def studio(transactional_db, tmp_path) -> Iterator[Studio]:
    """Two machines that serve one studio, each with a worker."""
    with ExitStack() as running, object_server() as objects:
        bucket = new_bucket(objects)
        surroundings = {
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "studio.settings",
            # The tests' own database, which is another one than the address they were given names.
            "DATABASE_URL": f"{os.environ['DATABASE_URL'].rpartition('/')[0]}/{connection.settings_dict['NAME']}",
            "TILEWRIGHT_SECRET_KEY": settings.SECRET_KEY,
            "TILEWRIGHT_OBJECTS": objects,
            "TILEWRIGHT_WORKERS": str(PROCESSES),
            "TILEWRIGHT_START_WORKER": "0",
            "TILEWRIGHT_METRICS_KEY": "shown",
        }
        machines = [Machine(tmp_path / name, surroundings) for name in ("kiln-room", "office")]
        for machine in machines:
            running.callback(end, machine.run("start", "--empty"))
            wait_until(machine.is_serving, machine.last_words)
        made = Studio(machines, bucket, running)
        for name, machine in zip(("first", "second"), machines, strict=True):
            made.run_worker(name, machine)
        yield made


def end(process: subprocess.Popen[bytes]) -> None:
    process.terminate()
    try:
        process.wait(30)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()


def wait_until(fact: Callable[[], bool], otherwise: Callable[[], str]) -> None:
    until = time.monotonic() + PATIENCE_S
    while not fact():
        assert time.monotonic() < until, otherwise()
        time.sleep(0.02)


def ask(
    port: int, method: str, path: str, body: bytes | str = b"", headers: dict[str, str] | None = None
) -> tuple[int, str, bytes]:
    """Ask on a line of its own, so that any of the machine's processes may answer: status, kind, content."""
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)
    try:
        line.request(method, path, body, headers or {})
        answer = line.getresponse()
        return answer.status, answer.headers.get("Content-Type", ""), answer.read()
    finally:
        line.close()


class Someone(threading.Thread):
    """One person with a glaze of their own: sends a photo of each tile, judges it, and looks at the counts."""

    def __init__(self, name: str, studio: Studio, glaze: Glaze, tiles: list[Tile], start: threading.Barrier):
        super().__init__(name=name, daemon=True)
        self.ports = [machine.port for machine in studio.machines]
        self.glaze, self.tiles, self.start_together = glaze, tiles, start
        client = Client()
        client.force_login(add_person(name, Role.RECORDER))
        session = client.cookies[settings.SESSION_COOKIE_NAME].value
        self.headers = {
            "Cookie": f"{settings.SESSION_COOKIE_NAME}={session}; csrftoken={TOKEN}",
            "X-CSRFToken": TOKEN,
        }
        self.photos: dict[str, bytes] = {}
        self.wrong: list[str] = []

    def run(self) -> None:
        try:
            self.start_together.wait(PATIENCE_S)
            # All of them send the same picture at the same moment, each to the machine they happen to be at.
            self.send(self.ports[self.at], SHARED, Tile.objects.first().label)
            for turn, tile in enumerate(self.tiles):
                here = self.ports[(self.at + turn) % len(self.ports)]
                self.send(here, self.photos[tile.label], tile.label)
                self.judge(here, tile)
                self.look_everywhere((turn + 1) * len(ZONES))
        except Exception as trouble:  # else only a thread knows it, and nobody reads that
            self.wrong.append(repr(trouble))
        finally:
            connection.close()

    @property
    def at(self) -> int:
        return int(self.name[-1]) % len(self.ports)

    def send(self, port: int, photo: bytes, label: str) -> None:
        """Send a photo as the queue on the phone does."""
        path = f"/photos/receive/?{urlencode({'tile': label, 'name': 'tile.jpg', 'anyway': 'on'})}"
        headers = {**self.headers, "Content-Type": "application/octet-stream", "Accept": "application/json"}
        status, _, content = ask(port, "POST", path, photo, headers)
        if status != 201 or json.loads(content)["state"] != "filed":
            self.wrong.append(f"photo of {label}: {status} {content[:300]!r}")

    def judge(self, port: int, tile: Tile) -> None:
        headers = {**self.headers, "Content-Type": "application/x-www-form-urlencoded"}
        status, _, content = ask(
            port, "POST", f"/firings/{FIRING}/unload/{tile.label}/judge/", urlencode(typed(*ZONES)), headers
        )
        if status != 302:
            self.wrong.append(f"judging {tile.label}: {status} {content[:300]!r}")

    def look_everywhere(self, judged: int) -> None:
        """Right after a write: every machine counts it, whichever of its processes answers."""
        for port in self.ports * LOOKS:
            found = counted_satin(port, self.glaze, self.headers)
            if found != judged:
                self.wrong.append(f"{judged} zones judged, {found} counted at {port}")


def counted_satin(port: int, glaze: Glaze, headers: dict[str, str]) -> int | None:
    """The count beside "satin" among the results of a glaze."""
    status, _, content = ask(port, "GET", f"/results/?glaze={glaze.pk}", headers=headers)
    found = re.search(r'id="choice-surface-satin".*?facet-count">(\d+)<', content.decode(), re.DOTALL)
    return int(found[1]) if status == 200 and found else None


SHARED = corpus.noisy_jpeg(300, 200, seed=1)


@pytest.fixture
def people(studio) -> list[Someone]:
    """Each with a glaze and tiles of their own, fired together and not yet judged."""
    firing = FiringFactory(number=FIRING, fired=True, reached_number="5.80", reached_source="witness")
    start, found = threading.Barrier(PEOPLE), []
    for number in range(PEOPLE):
        glaze = GlazeFactory(name=f"Harbour {number}")
        tiles = [
            glaze_tile(TileFactory(number=1000 + 10 * number + n), (glaze, {"band 1": 1, "texture": 2, "back": 3}))
            for n in range(TILES_EACH)
        ]  # fmt: skip
        for tile in tiles:
            fired_outcomes(tile, firing)
        someone = Someone(f"Recorder {number}", studio, glaze, tiles, start)
        someone.photos = {tile.label: corpus.noisy_jpeg(400, 300, seed=tile.number) for tile in tiles}
        found.append(someone)
    return found


def looks() -> QuerySet[DBTaskResult]:
    """The work of looking at photos."""
    return DBTaskResult.objects.filter(task_path=look_at_photo_soon.module_path)


def killed_in_the_midst(studio: Studio) -> str:
    """The name of the worker that was killed hard over its work."""
    wait_until(lambda: looks().filter(status=TaskResultStatus.RUNNING).exists(), lambda: "nobody took it up")
    name = looks().get().worker_ids[-1]
    studio.workers[name].kill()
    studio.workers[name].wait()
    assert studio.workers[name].returncode == -signal.SIGKILL
    assert looks().get().status == TaskResultStatus.RUNNING, "it was done before it could be killed"
    return name


def test_several_people_on_two_machines_lose_nothing_and_do_nothing_twice(studio, people):
    large = corpus.noisy_jpeg(4000, 3000)
    people[0].send(studio.machines[0].port, large, people[0].tiles[0].label)
    dead = killed_in_the_midst(studio)
    # Another in its place, that does not know whose.
    studio.run_worker("third", studio.machines[0])

    for one in people:
        one.start()
    for one in people:
        one.join(PATIENCE_S)
    wait_until(
        lambda: not looks().exclude(status=TaskResultStatus.SUCCESSFUL).exists(),
        lambda: str(list(looks().values_list("status", "worker_ids", "traceback"))),
    )

    assert [one.wrong for one in people] == [[]] * PEOPLE
    sent = [large, SHARED, *(photo for one in people for photo in one.photos.values())]
    [taken_up] = [look.worker_ids for look in looks() if len(look.worker_ids) > 1]
    assert taken_up[0] == dead
    assert len(taken_up) == 2
    assert taken_up[1] != dead
    assert_stored_and_filed_once(studio, sent)
    assert Outcome.objects.filter(surface="satin").count() == PEOPLE * TILES_EACH * len(ZONES)
    call_command("check_conditions")
    for machine in studio.machines:
        assert machine.processes_that_answered("tiles:search:results") == PROCESSES
        assert not re.findall(r"Traceback|ERROR|CRITICAL", machine.log.read_text()), machine.last_words()


def assert_stored_and_filed_once(studio: Studio, sent: list[bytes]) -> None:
    photos = Photo.everything.all()
    assert {item.get()["Body"].read() for item in studio.bucket.objects.all()} == set(sent)
    assert photos.count() == len(list(studio.bucket.objects.all())) == len(sent)
    assert not photos.filter(looked_at=None)
    assert PhotoFiling.objects.count() == len(sent)
    made = Photo.history.filter(history_type="+").values_list("sha256", flat=True)
    filed = PhotoFiling.history.filter(history_type="+").values_list("photo_id", "tile_id")
    assert set(Counter(made).values()) == set(Counter(filed).values()) == {1}
