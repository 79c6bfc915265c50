"""What a person asks of one piece of a load: which, in the state they saw, and where it is to go."""

import re
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Move:
    """Where a person puts a piece: a shelf, and a corner on it [mm]; without a corner the first free spot is taken."""

    shelf: Any
    x_mm: int | None = None
    y_mm: int | None = None


@dataclass(frozen=True, slots=True)
class Named:
    """A tile's placement, or the witness cones of a pack, by their keys, and the mark of the state that was seen."""

    keys: tuple[int, ...]
    is_cones: bool
    mark: int


def named(words: str) -> Named:
    """Read which piece is meant. Raises ValueError where it is none.

    >>> named("t12.340"), named("c4-5.9").keys
    (Named(keys=(12,), is_cones=False, mark=340), (4, 5))
    """
    found = re.fullmatch(r"([tc])(\d{1,18}(?:-\d{1,18})*)\.(\d{1,18})", words, re.ASCII)
    if not found or (found[1] == "t" and "-" in found[2]):
        raise ValueError("That is no piece of this load. Choose one from the list.")
    return Named(tuple(int(key) for key in found[2].split("-")), found[1] == "c", int(found[3]))
