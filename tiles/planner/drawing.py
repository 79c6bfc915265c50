"""What each tile saved costs, drawn: tiles made across, the share of what can meet upwards."""

from collections.abc import Sequence
from dataclasses import dataclass

WIDTH, HEIGHT = 320, 150
LEFT, RIGHT, TOP, FOOT = 38, 8, 10, 26


@dataclass(frozen=True, slots=True)
class Mark:
    """A word at a place."""

    x: float
    y: float
    words: str


@dataclass(frozen=True, slots=True)
class TradeOff:
    """The curve as steps of an SVG path, its scales, and the place of the tiles that are made."""

    path: str
    across: tuple[Mark, ...]
    upwards: tuple[Mark, ...]
    made: Mark
    width: int = WIDTH
    height: int = HEIGHT
    left: int = LEFT
    edge: int = WIDTH - RIGHT
    floor: int = HEIGHT - FOOT
    top: int = TOP


def trade_off(curve: Sequence[float], before: float, made: int) -> TradeOff:
    """Draw the share after each tile, from what existed `before`; `made` is how many are made.

    >>> trade_off([0.5, 1.0], 0.0, 2).path
    'M38 124H175V67H312V10'
    """
    count = len(curve)
    shares = [before, *curve]

    def x(tiles: float) -> float:
        return LEFT + (WIDTH - LEFT - RIGHT) * tiles / max(count, 1)

    def y(share: float) -> float:
        return TOP + (HEIGHT - TOP - FOOT) * (1 - share)

    steps = "".join(
        f"H{round(x(tiles), 1):g}V{round(y(share), 1):g}" for tiles, share in enumerate(curve, start=1)
    )
    return TradeOff(
        f"M{LEFT} {round(y(before), 1):g}{steps}",
        tuple(Mark(round(x(tiles), 1), HEIGHT - 8, str(tiles)) for tiles in _ticks(count)),
        tuple(Mark(LEFT - 6, round(y(share), 1), f"{share:.0%}") for share in (0, 0.5, 1)),
        Mark(round(x(made), 1), round(y(shares[min(made, count)]), 1), f"{shares[min(made, count)]:.0%}"),
    )


def _ticks(count: int) -> list[int]:
    """A handful of round numbers of tiles, the last among them."""
    step = next((step for step in (1, 2, 5, 10, 20, 50, 100) if count / step <= 6), 200)
    ticks = list(range(step, count + 1, step))
    if count and (not ticks or count - ticks[-1] >= step / 2):
        ticks.append(count)
    return ticks


def milestones(curve: Sequence[float]) -> list[tuple[int, float]]:
    """How many tiles it takes to a share worth naming, and all of it.

    >>> milestones([0.4, 0.7, 0.95, 1.0])
    [(2, 0.7), (3, 0.95), (4, 1.0)]
    """
    found: dict[int, float] = {}
    for asked in (0.5, 0.75, 0.9, 1.0):
        place = next((place for place, share in enumerate(curve, start=1) if share >= asked - 1e-9), None)
        if place:
            found[place] = curve[place - 1]
    return list(found.items())
