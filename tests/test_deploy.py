"""What deploy/ starts exists, and settles what the settings read."""

import configparser
import re
import subprocess
from pathlib import Path

import pytest
from django.core.management import get_commands

ROOT = Path(__file__).parents[1]
DEPLOY = ROOT / "deploy"
TEXTS = {path.name: path.read_text() for path in DEPLOY.iterdir()}


def test_every_command_that_is_started_exists():
    started = {name for text in TEXTS.values() for name in re.findall(r'manage\.py"?,? "?([a-z_]+)', text)}

    assert {"start", "worker", "migrate", "collectstatic"} <= started <= set(get_commands())


def test_every_variable_is_one_that_the_readme_lists():
    listed = set(re.findall(r"^\| `([A-Z_]+)` \|", (ROOT / "README.md").read_text(), re.MULTILINE))
    named = set(re.findall(r"\bTILEWRIGHT_[A-Z_]+\b", "\n".join(TEXTS.values())))

    assert named
    assert named <= listed


def test_every_folder_and_file_that_the_image_copies_is_here():
    copied = [
        word
        for line in re.findall(r"^COPY (.+) \S+$", TEXTS["Dockerfile"], re.MULTILINE)
        for word in line.split()
    ]

    assert {"studio", "tiles", "firings", "templates", "static", "manage.py"} <= set(copied)
    assert [name for name in copied if not (ROOT / name).exists()] == []


def test_the_service_may_write_its_data_and_little_else():
    unit = configparser.ConfigParser(strict=False)
    unit.optionxform = str
    unit.read_string(TEXTS["tilewright.service"])
    service = unit["Service"]

    assert service["ProtectSystem"] == "strict"
    assert service["NoNewPrivileges"] == "yes"
    assert service["CapabilityBoundingSet"] == ""
    assert service["StateDirectoryMode"] == "0700"
    assert "manage.py start --empty" in service["ExecStart"]


def test_no_password_has_a_default():
    assert re.search(r"DATABASE_PASSWORD:\?", TEXTS["compose.yaml"])
    assert not re.search(r"PASSWORD[=:] ?[\"']?\w+[\"']?$", TEXTS["env.example"], re.MULTILINE)


def test_no_secret_of_a_studio_lies_among_the_sources():
    """A data folder set to this one leaves a key here; whoever got it with the sources could sign as that studio."""
    told = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if told.returncode:
        pytest.skip("these sources are no clone")
    kept = {Path(name).name for name in told.stdout.splitlines()}

    assert not kept & {"secret_key", ".env", "tilewright.sqlite3"}
    assert {"/secret_key", "deploy/.env", "*.sqlite3*"} <= set((ROOT / ".gitignore").read_text().split())
