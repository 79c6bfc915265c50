"""What is told of tiles that were fired before the log began. Records are named by their keys; firings, stacks and
what was seen by their places in the lists they come in, as few of them occur among many tiles."""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import NamedTuple


class Cover(NamedTuple):
    """One layer on one zone: exactly one of coats and seconds of a dip is given."""

    glaze: int
    method: str
    coats: int | None
    dip_s: Decimal | None


class Seen(NamedTuple):
    """What was seen on a zone after a firing."""

    surface: str = ""
    opacity: str = ""
    run_mm: Decimal | None = None
    runs_off: bool = False
    pooling: str = ""
    breaking: str = ""
    gloss_gu: Decimal | None = None
    verdict: str = ""
    remark: str = ""
    flaws: tuple[tuple[str, str], ...] = ()


UNSEEN = Seen()


@dataclass(slots=True)
class EarlierFiring:
    """A glaze firing that is over. `known` is the key of one that is in the log already, 0 where it is new."""

    day: date
    kiln: int
    order: int | None
    atmosphere: str
    hold_min: int
    number: int | None = None
    note: str = ""
    key: str = ""
    known: int = 0


class EarlierLayer(NamedTuple):
    """One glaze on some zones; `after` counts the firings the tile had been through. Covers by the zones' names."""

    glaze: int
    method: str
    after: int
    covers: dict[str, Cover]


class EarlierResult(NamedTuple):
    """One zone after one firing: the place of its stack, what was seen, and the row that says so."""

    zone: str
    stack: int
    seen: Seen
    row: int = 0


class EarlierFired(NamedTuple):
    """A tile in a firing, by the firing's place in the list."""

    firing: int
    place: str
    results: list[EarlierResult]


@dataclass(slots=True)
class EarlierTile:
    """One tile with its layers, bottom to top, and its firings in their order."""

    body: int
    form: int
    note: str = ""
    number: int | None = None
    key: str = ""
    row: int = 0
    layers: list[EarlierLayer] = field(default_factory=list)
    fired: list[EarlierFired] = field(default_factory=list)


@dataclass(slots=True)
class Earlier:
    """All of it: tiles, the firings they went through, and every stack that lay on one of their zones."""

    tiles: list[EarlierTile] = field(default_factory=list)
    firings: list[EarlierFiring] = field(default_factory=list)
    stacks: list[tuple[Cover, ...]] = field(default_factory=list)
