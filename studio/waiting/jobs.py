"""A job that waits for someone, in words."""

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Job:
    """What needs doing, why, how many of it, and the page where it is done.

    done, total : how far it is, where it is under way; photos : pictures to know it by
    """

    icon: str
    what: str
    why: str
    count: int | None
    address: str
    done: int = 0
    total: int = 0
    photos: tuple[Any, ...] = ()


@dataclass(frozen=True, slots=True)
class Step:
    """A step of the first day."""

    what: str
    address: str
    is_done: bool
    # Another way to the same end, as words and address.
    instead: tuple[str, str] | None = None


def tiles_words(count: int) -> str:
    """A number of tiles in words.

    >>> tiles_words(1), tiles_words(40)
    ('1 tile', '40 tiles')
    """
    return "1 tile" if count == 1 else f"{count} tiles"


def photos_words(count: int) -> str:
    """Photos that wait, in words.

    >>> photos_words(1), photos_words(3)
    ('one photo waits in the sorting tray', '3 photos wait in the sorting tray')
    """
    return f"{'one photo waits' if count == 1 else f'{count} photos wait'} in the sorting tray"


def cone_words(label: str) -> str:
    """A target cone in words, also where none is set."""
    return f"cone {label}" if label else "no target cone"
