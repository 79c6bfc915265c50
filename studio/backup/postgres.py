"""Dumps of a PostgreSQL database by its own tools, pg_dump and pg_restore."""

import os
import shutil
import subprocess  # nosec B404
from collections.abc import Mapping
from pathlib import Path


class ToolTrouble(Exception):
    """pg_dump or pg_restore is missing or refused; the words say what to do."""


def surroundings(settings: Mapping[str, object]) -> dict[str, str]:
    """The environment in which PostgreSQL's tools find the database that Django's settings describe."""
    names = {
        "PGDATABASE": "NAME",
        "PGUSER": "USER",
        "PGPASSWORD": "PASSWORD",
        "PGHOST": "HOST",
        "PGPORT": "PORT",
    }
    given = {variable: str(settings.get(key) or "") for variable, key in names.items()}
    return {**os.environ, **{variable: value for variable, value in given.items() if value}}


def dump(target: Path, surroundings: Mapping[str, str], snapshot: str) -> None:
    """Write the database, as an exported snapshot saw it, to `target`.

    Raises
    ------
    ToolTrouble : the tool is missing, older than the server, or refused
    """
    _run(
        [
            "pg_dump",
            "--format=custom",
            "--no-owner",
            "--no-privileges",
            f"--snapshot={snapshot}",
            f"--file={target}",
        ],
        surroundings,
    )


def load(source: Path, surroundings: Mapping[str, str]) -> None:
    """Fill an empty database from a dump, all of it or nothing.

    Raises
    ------
    ToolTrouble : the tool is missing, the database is not empty, or it refused
    """
    database = surroundings["PGDATABASE"]
    _run(
        [
            "pg_restore",
            "--no-owner",
            "--no-privileges",
            "--single-transaction",
            f"--dbname={database}",
            str(source),
        ],
        surroundings,
    )


def _run(command: list[str], surroundings: Mapping[str, str]) -> None:
    tool = shutil.which(command[0], path=surroundings.get("PATH"))
    if tool is None:
        raise ToolTrouble(
            f"{command[0]} is missing here. Install PostgreSQL’s client of the server’s version "
            "(on Debian: postgresql-client)."
        )
    # The command is a list of our own words and one path; no shell reads it.
    done = subprocess.run([tool, *command[1:]], env=dict(surroundings), capture_output=True, text=True)  # nosec B603
    if done.returncode:
        raise ToolTrouble(
            f"{command[0]} refused: {(done.stderr.strip() or 'no reason given').splitlines()[0]}"
        )
