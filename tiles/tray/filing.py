"""To which tile a photo goes by what is in view, or why it waits in the sorting tray. Never a guess."""

from collections.abc import Sequence
from dataclasses import dataclass

from tiles import numbers
from tiles.photos.codes import TileCode


@dataclass(frozen=True, slots=True)
class Waits:
    """Why a photo lies in the sorting tray, in words for the person who sorts it."""

    reason: str


def by_codes(codes: Sequence[TileCode]) -> TileCode | Waits:
    """The one code in view; with none, or with those of several tiles, the photo waits.

    >>> by_codes([])
    Waits(reason='No tile code in view.')
    """
    if len(codes) == 1:
        return codes[0]
    if not codes:
        return Waits("No tile code in view.")
    named = ", ".join(numbers.write(code.number) for code in codes[:5])
    more = " and more" if len(codes) > 5 else ""
    return Waits(f"Codes of several tiles in view: {named}{more}.")


def no_such_tile(number: int) -> Waits:
    """The code in view is sound, but this studio has no such tile."""
    return Waits(f"The code in view says {numbers.write(number)}, and no such tile is here.")
