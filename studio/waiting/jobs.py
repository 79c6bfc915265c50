"""A job that waits for someone, in words."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Job:
    """What needs doing, why, how many of it, and the page where it is done."""

    icon: str
    what: str
    why: str
    count: int | None
    address: str


@dataclass(frozen=True, slots=True)
class Step:
    """A step of the first day."""

    what: str
    address: str
    is_done: bool


def tiles_words(count: int) -> str:
    """A number of tiles in words.

    >>> tiles_words(1), tiles_words(40)
    ('1 tile', '40 tiles')
    """
    return "1 tile" if count == 1 else f"{count} tiles"


def cone_words(label: str) -> str:
    """A target cone in words, also where none is set."""
    return f"cone {label}" if label else "no target cone"
