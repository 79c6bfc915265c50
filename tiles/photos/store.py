"""Where photographs lie on disk: named by what they hold, whole or not there, never half.

A folder holds ``originals/ab/cd/<sha256>.<extension>``, kept for ever byte for byte; ``renditions/ab/cd/…``, a
cache that may be deleted at any time; and ``arriving/``, files still being written. A file gets its name only
when all of it is on the disk, so that a process killed at any point leaves at worst a file in ``arriving/``.

A studio may keep its originals in an object store too, which several machines share; then the folder's originals are a
cache as well: what is not at hand is fetched, and believed only if it holds what its name says.
"""

import hashlib
import os
import secrets
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, Protocol, Self

from firings.disk import move_into_place

CHUNK_BYTES = 1024 * 1024
LEFT_OVER_AFTER_S = 24 * 60 * 60


class Readable(Protocol):
    """What bytes can be read from: a file, a request, an entry of an archive."""

    def read(self, size: int, /) -> bytes: ...


class Arrival:
    """A file on its way into the store: hashed as it is written, gone when closed unless it was kept before.

    `file` can be read back, so that what is looked at is what was written.
    """

    def __init__(self, place: Path) -> None:
        self.place = place
        self.file: BinaryIO = place.open("xb+")
        self.byte_count = 0
        self._digest = hashlib.sha256()

    @property
    def sha256(self) -> str:
        """SHA-256 of all that was written so far, in hexadecimal."""
        return self._digest.hexdigest()

    def write(self, chunk: bytes) -> None:
        """Add to the end."""
        self.file.write(chunk)
        self._digest.update(chunk)
        self.byte_count += len(chunk)

    def write_all(self, file: Readable) -> None:
        """Add all that can still be read from `file`, a piece at a time."""
        while chunk := file.read(CHUNK_BYTES):
            self.write(chunk)
        self.file.flush()

    def move_to(self, place: Path) -> None:
        """Force all of it to the disk, then give it its name, and force the name to the disk too."""
        self.file.flush()
        os.fsync(self.file.fileno())
        self.file.close()
        move_into_place(self.place, place)

    def close(self) -> None:
        """Let go of it; what was not kept is deleted."""
        self.file.close()
        self.place.unlink(missing_ok=True)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


class ObjectStore(Protocol):
    """Where originals are kept beyond this machine, by name. Each raises OSError when it does not answer."""

    def put(self, name: str, place: Path) -> None:
        """Keep the file of that place; when this returns it is kept. Twice is as good as once."""

    def open(self, name: str) -> BinaryIO:
        """The file to be read; FileNotFoundError where there is none."""

    def holds(self, name: str) -> bool:
        """Whether there is a file of that name."""

    def delete(self, name: str) -> None:
        """Delete it, if it is there."""


@dataclass(frozen=True, slots=True)
class PhotoStore:
    """One studio's photographs in one folder of one file system, and in an object store if there is one."""

    folder: Path
    beyond: ObjectStore | None = None

    def at_hand(self, sha256: str, extension: str) -> Path:
        """Where the original lies, fetched if it was not there; nothing lies there if nobody has it.

        Raises OSError when the object store does not answer.
        """
        place = self.original(sha256, extension)
        if self.beyond is not None and not place.exists():
            with suppress(FileNotFoundError):
                self._fetch(self.beyond, place, sha256)
        return place

    def _fetch(self, beyond: ObjectStore, place: Path, sha256: str) -> None:
        with beyond.open(place.name) as distant, self.arrive() as arrival:
            arrival.write_all(distant)
            if arrival.sha256 == sha256:
                arrival.move_to(place)

    def send_beyond(self, sha256: str, extension: str) -> bool:
        """Bring an original that lies here into the object store; whether it had to be."""
        place = self.original(sha256, extension)
        if self.beyond is None or not place.exists() or self.beyond.holds(place.name):
            return False
        self.beyond.put(place.name, place)
        return True

    def original(self, sha256: str, extension: str) -> Path:
        """Where the original lies, whether or not it is there."""
        return self._place("originals", f"{sha256}.{extension}")

    def rendition(self, sha256: str, name: str) -> Path:
        """Where a rendition lies when it has been made; `name` is its size and extension, ``small.jpg``."""
        return self._place("renditions", f"{sha256}.{name}")

    def arrive(self) -> Arrival:
        """Begin to write a file; nobody sees it before it is kept. Raises OSError when the disk refuses."""
        return Arrival(self._arriving_folder() / f"{os.getpid()}-{secrets.token_hex(8)}")

    def take_in(self, file: BinaryIO) -> Arrival:
        """Write a copy of `file`, from its start."""
        arrival = self.arrive()
        try:
            file.seek(0)
            arrival.write_all(file)
        except BaseException:
            arrival.close()
            raise
        return arrival

    def keep_original(self, arrival: Arrival, extension: str) -> Path:
        """Keep what arrived and return where it lies; when this returns, a power cut can't take it back.

        A photo that is there already stays as it is; one that a failing disk cut short is written anew. Raises
        OSError when the disk refuses.
        """
        place = self.original(arrival.sha256, extension)
        if not _is_whole(place, arrival.byte_count):
            arrival.move_to(place)
        self.send_beyond(arrival.sha256, extension)
        return place

    def keep_rendition(self, sha256: str, name: str, content: bytes) -> Path:
        """Put a rendition into the cache. It can be made again, so it is not forced to the disk."""
        place = self.rendition(sha256, name)
        with self.arrive() as arrival:
            arrival.file.write(content)
            arrival.file.close()
            place.parent.mkdir(parents=True, exist_ok=True)
            arrival.place.replace(place)
        return place

    def forget_renditions(self, sha256: str) -> None:
        """Take a photo's renditions out of the cache."""
        for place in self.rendition(sha256, "").parent.glob(f"{sha256}.*"):
            place.unlink(missing_ok=True)

    def remove_original(self, sha256: str, extension: str) -> None:
        """Delete an original for good, renditions first; only for photos whose time in the bin is over."""
        self.forget_renditions(sha256)
        place = self.original(sha256, extension)
        place.unlink(missing_ok=True)
        if self.beyond is not None:
            self.beyond.delete(place.name)

    def sweep(self, older_than_s: float = LEFT_OVER_AFTER_S, now: Callable[[], float] = time.time) -> int:
        """Delete what killed processes left in ``arriving/`` and return how many files that were."""
        swept = 0
        for left in self._arriving_folder().iterdir():
            with suppress(FileNotFoundError):
                if now() - left.stat().st_mtime > older_than_s:
                    left.unlink()
                    swept += 1
        return swept

    def answers(self) -> bool:
        """Whether a file can be written, read back and deleted just now."""
        try:
            with self.arrive() as arrival:
                arrival.write(b"well?")
                arrival.file.seek(0)
                return arrival.file.read() == b"well?"
        except OSError:
            return False

    def _place(self, branch: str, name: str) -> Path:
        return self.folder / branch / name[:2] / name[2:4] / name

    def _arriving_folder(self) -> Path:
        folder = self.folder / "arriving"
        folder.mkdir(parents=True, exist_ok=True)
        return folder


def _is_whole(place: Path, byte_count: int) -> bool:
    return place.exists() and place.stat().st_size == byte_count
