"""Setting up on a machine that lacks something ends in one line that says what."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
TOOLS = ("sh", "dirname", "tail", "cat", "rm")


@pytest.fixture
def machine(tmp_path: Path) -> Path:
    """A folder with our set-up in it, on a machine with hardly anything installed."""
    (tmp_path / "bin").mkdir()
    for tool in TOOLS:
        (tmp_path / "bin" / tool).symlink_to(shutil.which(tool))
    shutil.copy(ROOT / "setup.sh", tmp_path)
    (tmp_path / "requirements.txt").touch()
    return tmp_path


def set_up(machine: Path) -> subprocess.CompletedProcess[str]:
    surroundings = {"PATH": str(machine / "bin")}
    return subprocess.run(
        ["./setup.sh", "requirements.txt"],
        cwd=machine,
        env=surroundings,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def install_python(machine: Path, script: str) -> None:
    program = machine / "bin" / "python3"
    program.write_text(f"#!/bin/sh\n{script}\n")
    program.chmod(0o755)


def test_no_python_is_said_in_one_line(machine):
    done = set_up(machine)

    assert done.returncode == 1
    assert done.stderr.startswith("Tilewright cannot be set up. Python 3.11 or newer is missing.")
    assert len(done.stderr.splitlines()) == 1


def test_an_old_python_is_as_good_as_none(machine):
    install_python(machine, "exit 1")

    assert "Python 3.11 or newer is missing" in set_up(machine).stderr


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("Error: [Errno 28] No space left on device", "The disk is full"),
        ("Error: [Errno 30] Read-only file system: '.venv'", "can only be read"),
        ("Error: [Errno 13] Permission denied: '.venv'", "may not be written by you"),
        ("ensurepip is not available", "python3-venv"),
        ("Temporary failure in name resolution", "does not answer"),
        ("THESE PACKAGES DO NOT MATCH THE HASHES", "not the one that was pinned"),
    ],
)
def test_what_installing_says_is_put_in_one_line(machine, said, words):
    install_python(machine, f'[ "$1" = -c ] && exit 0\necho "{said}"; echo "and more"; exit 1')
    done = set_up(machine)

    assert done.returncode == 1
    assert words in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_something_unheard_of_is_shown_as_it_came(machine):
    install_python(machine, '[ "$1" = -c ] && exit 0\necho "the kiln is on fire"; exit 1')
    done = set_up(machine)

    assert done.returncode == 1
    assert done.stderr.splitlines() == [
        "the kiln is on fire",
        "Tilewright cannot be set up. The lines above say why.",
    ]


def test_a_whole_python_gets_its_folder_once(machine):
    install_python(machine, f'exec {sys.executable} "$@"')
    first, made = set_up(machine), os.stat(machine / ".venv" / "pyvenv.cfg").st_ino
    second = set_up(machine)

    assert (first.returncode, second.returncode) == (0, 0)
    assert "Making .venv" in first.stdout
    assert "Making .venv" not in second.stdout
    assert os.stat(machine / ".venv" / "pyvenv.cfg").st_ino == made
