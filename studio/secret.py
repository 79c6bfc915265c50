"""The studio's secret key: made on first start, kept in the data folder, readable by its owner only."""

import os
import secrets
from collections.abc import Sequence
from pathlib import Path


def only_looks(command_line: Sequence[str]) -> bool:
    """Whether the command that was typed only looks at a studio: it makes nothing, not even where none lies.

    >>> only_looks(["manage.py", "doctor", "--json"]), only_looks(["manage.py", "start"])
    (True, False)
    """
    return command_line[1:2] == ["doctor"]


def secret_key_of(folder: Path, *, making: bool) -> str:
    """The key kept in `folder`; where there is none it is made, or unless `making` one of this moment is taken."""
    if making or (folder / "secret_key").exists():
        return secret_key_in(folder)
    return secrets.token_urlsafe(50)


def secret_key_in(folder: Path) -> str:
    """Return the key kept in `folder`, making it on first use.

    Two processes that start together agree: the file is created exclusively, and the loser reads
    what the winner wrote. A folder that can't be written raises OSError, which `manage.py start`
    turns into one clear line.
    """
    path = folder / "secret_key"
    if path.exists() and (kept := path.read_text().strip()):
        return kept
    folder.mkdir(parents=True, exist_ok=True)
    made = secrets.token_urlsafe(50)
    temporary = folder / f".secret_key.{os.getpid()}"
    descriptor = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    try:
        with os.fdopen(descriptor, "w") as file:
            file.write(made)
            file.flush()
            os.fsync(file.fileno())
        os.link(temporary, path)
    except FileExistsError:
        pass
    finally:
        temporary.unlink()
    return path.read_text().strip()
