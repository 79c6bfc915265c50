"""`manage.py start` as a newcomer meets it: a real server, in a process of its own."""

import http.client
import json
import os
import re
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]
# Making a database takes a slow machine that does something else besides more than a minute.
PATIENCE_S = 240


@pytest.fixture
def port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as server:
        return server.getsockname()[1]


class Terminal:
    """A terminal in which a command runs; it has a process group of its own, as a terminal's jobs do."""

    def __init__(self, *words: str, port: int, folder: Path, **variables: str) -> None:
        surroundings = {
            name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "PORT")
        }
        surroundings |= {
            "DJANGO_SETTINGS_MODULE": "studio.settings",
            "TILEWRIGHT_DATA": str(folder),
            "PORT": str(port),
            "TILEWRIGHT_WORKERS": "2",
            **variables,
        }
        self.job = subprocess.Popen(
            [sys.executable, "manage.py", *words],
            cwd=ROOT,
            env=surroundings,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            start_new_session=True,
        )

    def read_until(self, words: str) -> str:
        """What the command printed up to these words, or all of it if it ended before."""
        read, started = "", time.monotonic()
        while words not in read and time.monotonic() - started < PATIENCE_S:
            line = self.job.stdout.readline()
            if not line:
                break
            read += line
        return read

    def press(self, key: signal.Signals) -> tuple[int, str]:
        """Send a signal to all processes of the job, as a terminal does; the exit status and what was printed."""
        os.killpg(self.job.pid, key)
        printed, _ = self.job.communicate(timeout=PATIENCE_S)
        return self.job.returncode, printed

    def processes(self) -> list[int]:
        """The processes of this job that still run."""
        listed = subprocess.run(
            ["pgrep", "-g", str(self.job.pid)], capture_output=True, text=True, check=False
        )
        return [int(number) for number in listed.stdout.split()]


@pytest.fixture
def terminal(port: int, tmp_path: Path) -> Iterator[Callable[..., Terminal]]:
    """Run a command of the product on this test's port, on a data folder of this test's own."""
    opened = []

    def run(*words: str, **variables: str) -> Terminal:
        opened.append(Terminal(*words, port=port, folder=tmp_path / "studio", **variables))
        return opened[-1]

    yield run
    for one in opened:
        if one.processes():
            os.killpg(one.job.pid, signal.SIGKILL)
        one.job.communicate()


@pytest.fixture(scope="module")
def made_ready(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A studio's data folder, its database up to date and nobody in it yet."""
    folder = tmp_path_factory.mktemp("ready") / "studio"
    assert Terminal("migrate", "--verbosity", "0", port=8000, folder=folder).job.wait(PATIENCE_S) == 0
    return folder


@pytest.fixture
def ready(made_ready: Path, tmp_path: Path) -> None:
    """Spare this test the wait for a new database."""
    shutil.copytree(made_ready, tmp_path / "studio")


def comes_true(fact: Callable[[], bool]) -> bool:
    """Whether something comes true while there is patience."""
    deadline = time.monotonic() + PATIENCE_S
    while not fact() and time.monotonic() < deadline:
        time.sleep(0.1)
    return fact()


def ask(port: int, path: str) -> tuple[int, str]:
    try:
        with urllib.request.urlopen(f"http://127.0.0.1:{port}{path}", timeout=10) as answer:
            return answer.status, answer.read().decode()
    except urllib.error.HTTPError as refusal:
        return refusal.code, refusal.read().decode()


def test_a_studio_starts_serves_and_stops_and_starts_again(terminal, port):
    first = terminal("start", "--empty")
    words = first.read_until("Ctrl-C")
    way_in = re.search(rf"http://127\.0\.0\.1:{port}(/come-in/\S+)", words)[1]

    assert json.loads(ask(port, "/healthz")[1]) == {"database": "ok", "photos": "ok", "work": "ok"}
    assert "Sign in as Keeper" in ask(port, way_in)[1]
    assert comes_true(lambda: len(first.processes()) == 3), "one that watches, two that serve"
    status, printed = first.press(signal.SIGINT)
    assert (status, printed.strip()) == (0, "")
    assert first.processes() == []

    again = terminal("start", "--empty")
    words = again.read_until("Ctrl-C")
    assert "Preparing" not in words
    assert ask(port, way_in)[0] == 410, "a newer link closes the one before"
    assert again.press(signal.SIGTERM) == (0, "")


def test_a_command_typed_beside_the_studio_prints_a_link_to_its_port(terminal, port, ready, tmp_path):
    started = terminal("start", "--empty")
    started.read_until("Ctrl-C")
    link = terminal("sign_in_link", PORT="8000").read_until("works once")

    assert re.findall(r"http://\S+/come-in/", link) == [f"http://127.0.0.1:{port}/come-in/"]
    assert "Sign in as" in ask(port, re.search(r"/come-in/\S+", link)[0])[1]

    started.press(signal.SIGINT)
    assert not (tmp_path / "studio" / "port").exists()
    link = terminal("sign_in_link", PORT="8000").read_until("works once")
    assert "http://127.0.0.1:8000/come-in/" in link


def test_a_closed_terminal_leaves_no_server_behind(terminal, ready):
    started = terminal("start", "--empty")
    started.read_until("Ctrl-C")

    assert started.press(signal.SIGHUP)[0] == 0
    assert started.processes() == []


def test_a_server_killed_hard_leaves_no_process_behind(terminal, ready):
    started = terminal("start", "--empty")
    started.read_until("Ctrl-C")
    os.kill(started.job.pid, signal.SIGKILL)
    started.job.wait()

    assert comes_true(lambda: not started.processes())


def workers(folder: Path) -> list[int]:
    """The processes of the workers that say they are there."""
    with sqlite3.connect(folder / "studio" / "tilewright.sqlite3") as database:
        return [int(place.split()[1]) for (place,) in database.execute("SELECT place FROM studio_worker")]


def runs(process: int) -> bool:
    """Whether a process is there and not merely waiting to be noticed as dead."""
    listed = subprocess.run(
        ["ps", "-o", "stat=", "-p", str(process)], capture_output=True, text=True, check=False
    )
    return listed.stdout.strip() != "" and not listed.stdout.startswith("Z")


def test_a_worker_runs_beside_the_pages_comes_back_when_killed_and_goes_with_them(terminal, ready, tmp_path):
    started = terminal("start", "--empty")
    started.read_until("Ctrl-C")
    assert comes_true(lambda: len(workers(tmp_path)) == 1)
    (first,) = workers(tmp_path)

    os.kill(first, signal.SIGKILL)
    assert comes_true(lambda: workers(tmp_path) not in ([], [first])), (
        "another came, and the dead one was struck off"
    )
    (second,) = workers(tmp_path)

    assert started.press(signal.SIGINT) == (0, "")
    assert not runs(second)
    assert workers(tmp_path) == []


def test_the_worker_of_a_server_killed_hard_ends_by_itself(terminal, ready, tmp_path):
    started = terminal("start", "--empty")
    started.read_until("Ctrl-C")
    assert comes_true(lambda: len(workers(tmp_path)) == 1)
    (worker,) = workers(tmp_path)
    os.kill(started.job.pid, signal.SIGKILL)

    assert comes_true(lambda: not runs(worker))


def test_a_studio_may_run_its_workers_elsewhere(terminal, port, ready, tmp_path):
    started = terminal("start", "--empty", TILEWRIGHT_START_WORKER="0")
    started.read_until("Ctrl-C")
    elsewhere = terminal("worker")
    assert comes_true(lambda: workers(tmp_path) == [elsewhere.job.pid])

    assert elsewhere.press(signal.SIGTERM) == (0, "")
    assert workers(tmp_path) == []


def test_pages_come_with_their_styles_and_nothing_from_another_host(terminal, port, ready):
    terminal("start", "--empty").read_until("Ctrl-C")
    _, page = ask(port, "/sign-in/")
    sheets = re.findall(r'<link rel="stylesheet" href="([^"]+)"', page)

    assert sheets
    assert all(ask(port, sheet)[0] == 200 for sheet in sheets)
    assert not re.findall(r'(?:src|href|action)="(?:https?:)?//', page)


def test_behind_a_proxy_only_https_is_served_and_cookies_keep_to_it(terminal, port, ready):
    words = terminal(
        "start", "--empty", TILEWRIGHT_HTTPS="1", TILEWRIGHT_ADDRESS="https://kiln.example"
    ).read_until("Ctrl-C")
    there = {"Host": "kiln.example", "X-Forwarded-Proto": "https"}
    page = urllib.request.Request(f"http://127.0.0.1:{port}/sign-in/", headers=there)
    with urllib.request.urlopen(page, timeout=10) as answer:
        headers = answer.headers

    assert "https://kiln.example/come-in/" in words
    assert "Secure" in headers["Set-Cookie"]
    assert headers["Strict-Transport-Security"] == "max-age=31536000"
    assert ask(port, "/healthz")[0] == 200, "asked on the machine itself, without the proxy"
    assert redirected(port, "/sign-in/") == f"https://127.0.0.1:{port}/sign-in/"


def redirected(port: int, path: str) -> str | None:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    connection.request("GET", path)
    return connection.getresponse().getheader("Location")


def test_a_second_start_on_the_same_port_says_so_and_leaves_the_first_alone(terminal, port, ready):
    terminal("start", "--empty").read_until("Ctrl-C")
    second = terminal("start", "--empty")
    printed, _ = second.job.communicate(timeout=PATIENCE_S)

    assert second.job.returncode == 1
    assert printed.strip().splitlines() == [
        f"Tilewright cannot start. Port {port} is in use by another program. "
        f"Stop that one, or take another: PORT={port + 1} make start"
    ]
    assert ask(port, "/healthz")[0] == 200


def test_a_data_folder_that_is_a_file_is_one_line(terminal, tmp_path):
    (tmp_path / "studio").write_text("in the way")
    started = terminal("start", "--empty")
    printed, _ = started.job.communicate(timeout=PATIENCE_S)

    assert started.job.returncode == 1
    assert len(printed.strip().splitlines()) == 1
    assert "is in the way" in printed


def test_a_database_of_another_kind_is_one_line_and_is_left_alone(terminal, tmp_path):
    (tmp_path / "studio").mkdir()
    file = tmp_path / "studio" / "tilewright.sqlite3"
    file.write_bytes(b"not ours" * 1000)
    started = terminal("start", "--empty")
    printed, _ = started.job.communicate(timeout=PATIENCE_S)

    assert started.job.returncode == 1
    assert len(printed.strip().splitlines()) == 1
    assert f"The file tilewright.sqlite3 in {file.parent} is not a database of ours" in printed
    assert file.read_bytes() == b"not ours" * 1000


def test_ctrl_c_while_getting_ready_is_no_traceback(terminal):
    started = terminal("start", "--empty")
    started.read_until("Preparing")
    status, printed = started.press(signal.SIGINT)

    assert status in (0, 130)
    assert "Traceback" not in printed


@pytest.mark.parametrize("name", ["PORT", "TILEWRIGHT_WORKERS", "DATABASE_URL"])
def test_a_variable_that_makes_no_sense_is_named(monkeypatch, tmp_path, name):
    surroundings = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "studio.settings",
        "TILEWRIGHT_DATA": str(tmp_path),
    }
    job = subprocess.run(
        [sys.executable, "manage.py", "start"],
        cwd=ROOT,
        env={**surroundings, name: "nonsense"},
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
        check=False,
    )

    assert job.returncode == 1
    assert len(job.stderr.strip().splitlines()) == 1
    assert name in job.stderr
