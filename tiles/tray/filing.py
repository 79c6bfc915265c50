"""To which tiles a photo goes by what is in view, or why it waits in the sorting tray. Never a guess."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from tiles import numbers
from tiles.photos.codes import Region, TileCode
from tiles.tray.shares import shares_of_photo
from tiles.vocabulary import FiledBy

# More numbers than this make no reason one reads.
MOST_NAMED = 5


@dataclass(frozen=True, slots=True)
class Shown:
    """A tile in view: its number without check digit, its share of the photo where it shares it, how it was known."""

    number: int
    region: Region | None
    how: FiledBy


@dataclass(frozen=True, slots=True)
class InView:
    """What follows from the codes in view: the tiles shown, and in words what does not follow.

    With no tile shown, `reason` says why the photo waits; else it names codes in view that lead to no tile.
    """

    shown: tuple[Shown, ...] = ()
    reason: str = ""


def in_view(codes: Sequence[TileCode], here: Collection[int], width_px: int, height_px: int) -> InView:
    """Each tile whose code is in view and which is here, with its share of a photo of so many pixels.

    Parameters
    ----------
    codes : our codes in view, each tile once
    here : the numbers of tiles this studio has

    >>> in_view([], {1042}, 4000, 3000)
    InView(shown=(), reason='No tile code in view.')
    """
    if not codes:
        return InView(reason="No tile code in view.")
    shares: Iterable[Region | None] = [None]
    if len(codes) > 1:
        shares = shares_of_photo([code.region for code in codes], width_px, height_px)
    pairs = list(zip(codes, shares, strict=True))
    shown = tuple(Shown(code.number, share, code.how) for code, share in pairs if code.number in here)
    return InView(shown, no_such_tiles([code.number for code in codes if code.number not in here]))


def no_such_tiles(missing: Sequence[int]) -> str:
    """Codes that are sound, but of no tile this studio has; nothing where none is missing.

    >>> no_such_tiles([572])
    'The code in view says 572-4, and no such tile is here.'
    """
    if not missing:
        return ""
    named = ", ".join(numbers.write(number) for number in missing[:MOST_NAMED])
    more = " and more" if len(missing) > MOST_NAMED else ""
    if len(missing) == 1:
        return f"The code in view says {named}, and no such tile is here."
    return f"Codes in view say {named}{more}, and no such tiles are here."
