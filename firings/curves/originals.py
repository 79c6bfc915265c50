"""Where loggers' files lie on disk: named by what they hold, whole or not there, never half.

A folder holds ``ab/cd/<sha256>``, files of curves that are kept, byte for byte; ``waiting/<sha256>``, files somebody is
still looking at; and ``arriving/``, files being written. A file gets its name only when all of it is on the disk.
"""

import hashlib
import os
import re
import secrets
import time
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from firings.disk import move_into_place

# What nobody confirmed in so long is forgotten [s].
WAITS_S = 14 * 24 * 3600.0
_NAME = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class Originals:
    """One studio's logger files in one folder of one file system."""

    folder: Path

    def kept(self, sha256: str) -> Path:
        """Where the file of a kept curve lies, whether or not it is there."""
        return self.folder / sha256[:2] / sha256[2:4] / sha256

    def waiting(self, sha256: str) -> Path:
        """Where a file waits for its reading to be confirmed."""
        return self.folder / "waiting" / sha256

    def find(self, sha256: str) -> Path | None:
        """The file of that hash, kept or waiting; None where it is not here."""
        if not _NAME.fullmatch(sha256):
            return None
        return next((place for place in (self.kept(sha256), self.waiting(sha256)) if place.exists()), None)

    def receive(self, chunks: Iterable[bytes]) -> str:
        """Store a file that arrived, to wait for its reading to be confirmed; its SHA-256 is its name from here on."""
        arriving = self._arriving()
        digest = hashlib.sha256()
        try:
            with arriving.open("xb") as target:
                for chunk in chunks:
                    digest.update(chunk)
                    target.write(chunk)
                target.flush()
                os.fsync(target.fileno())
            sha256 = digest.hexdigest()
            if self.find(sha256) is None:
                move_into_place(arriving, self.waiting(sha256))
            else:
                os.utime(self.find(sha256) or arriving)
        finally:
            arriving.unlink(missing_ok=True)
        return sha256

    def keep(self, sha256: str) -> Path:
        """Give a waiting file its lasting place; when this returns, a power cut can't take it back.

        Raises
        ------
        FileNotFoundError : no file of that hash is here
        """
        place = self.kept(sha256)
        if not place.exists():
            move_into_place(self.waiting(sha256), place)
        return place

    def sweep(self, older_than_s: float = WAITS_S, now: Callable[[], float] = time.time) -> int:
        """Delete what nobody confirmed and what killed processes left behind; how many files that were."""
        swept = 0
        for branch in ("waiting", "arriving"):
            for left in (self.folder / branch).glob("*"):
                with suppress(FileNotFoundError):
                    if now() - left.stat().st_mtime > older_than_s:
                        left.unlink()
                        swept += 1
        return swept

    def _arriving(self) -> Path:
        folder = self.folder / "arriving"
        folder.mkdir(parents=True, exist_ok=True)
        return folder / f"{os.getpid()}-{secrets.token_hex(8)}"
