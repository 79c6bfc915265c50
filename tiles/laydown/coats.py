"""Coats by weight: how much dry glaze a coat lays on, how thick it is, and how thickly each hand lays it.

Laydown is the dry mass on an area. It is worked out of the slop that was put on, weighed wet, by its solids (see
`brongniart.py`); how thick that is once dry rests on how closely the grains pack.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from statistics import fmean
from typing import NamedTuple

from firings.estimate import Estimate
from firings.kilns.interval import mean_95
from tiles.laydown.brongniart import SOLIDS_DENSITY, dry_g_of_wet

# Of a dried raw coat, the part that is solid: 0.45 to 0.6, from memory, unverified.
PACKING = 0.5
PACKING_LOW, PACKING_HIGH = 0.45, 0.6
MG = 1000.0
MM_PER_CM = 10.0


def dry_mg_per_cm2(
    wet_g: float, area_cm2: float, specific_gravity: float, solids_density: float = SOLIDS_DENSITY
) -> float:
    """The laydown of slop put on an area [mg/cm²].

    >>> round(dry_mg_per_cm2(6.0, 30.0, 1.45, 2.6), 1)
    100.9
    """
    return dry_g_of_wet(wet_g, specific_gravity, solids_density) * MG / area_cm2


def raw_mm(laydown_mg_cm2: float, packing: float = PACKING, solids_density: float = SOLIDS_DENSITY) -> float:
    """How thick a dried raw coat of that laydown is [mm].

    >>> round(raw_mm(100.9), 3), round(raw_mm(100.9, packing=1.0), 3)
    (0.776, 0.388)
    """
    return laydown_mg_cm2 / MG / (solids_density * packing) * MM_PER_CM


def of_a_coat(
    wet_g: float, coats: int | None, area_cm2: float, specific_gravity: float
) -> tuple[float, float]:
    """Of a weighed zone what one coat, or its one dip, laid on: dry [mg/cm²], and the slop that took [g/cm²].

    >>> laydown, slop = of_a_coat(12.0, 2, 30.0, 1.45)
    >>> round(laydown, 1), slop
    (100.9, 0.2)
    """
    coat_g = wet_g / (coats or 1)
    return dry_mg_per_cm2(coat_g, area_cm2, specific_gravity), coat_g / area_cm2


class Hand(NamedTuple):
    """Who lays what on with which: keys of records, and the words of the method and the tool."""

    glaze: int
    person: int
    method: str
    tool: str


@dataclass(frozen=True, slots=True)
class Weighing:
    """One zone that was weighed: its laydown for one coat, or for one dip, and the wet glaze that took [g/cm²]."""

    hand: Hand
    tile: int
    laydown_mg_cm2: float
    wet_g_cm2: float


@dataclass(frozen=True, slots=True)
class Laying:
    """How thickly a hand lays a coat on. A tile counts once, however many of its zones were weighed.

    `estimate` is the mean of the tiles with its interval [mg/cm²], None below the least number of tiles.
    """

    hand: Hand
    tiles: tuple[int, ...]
    mean_mg_cm2: float
    wet_g_cm2: float
    estimate: Estimate | None

    @property
    def mm(self) -> float:
        """The mean of a coat, dried [mm]."""
        return raw_mm(self.mean_mg_cm2)

    @property
    def mm_low(self) -> float:
        """The thinnest that the interval and the packing allow [mm]."""
        return raw_mm(self.estimate.low if self.estimate else self.mean_mg_cm2, PACKING_HIGH)

    @property
    def mm_high(self) -> float:
        """The thickest that the interval and the packing allow [mm]."""
        return raw_mm(self.estimate.high if self.estimate else self.mean_mg_cm2, PACKING_LOW)


def layings(weighings: Iterable[Weighing]) -> list[Laying]:
    """How thickly each hand lays each glaze on, those with the most tiles first."""
    by_hand: dict[Hand, dict[int, list[Weighing]]] = {}
    for one in weighings:
        by_hand.setdefault(one.hand, {}).setdefault(one.tile, []).append(one)
    found = [_laying(hand, by_tile) for hand, by_tile in by_hand.items()]
    return sorted(found, key=lambda one: (-len(one.tiles), one.hand))


def _laying(hand: Hand, by_tile: dict[int, list[Weighing]]) -> Laying:
    means = [fmean(one.laydown_mg_cm2 for one in zones) for zones in by_tile.values()]
    wet = [fmean(one.wet_g_cm2 for one in zones) for zones in by_tile.values()]
    estimate = mean_95(means, "tiles weighed")
    return Laying(hand, tuple(by_tile), fmean(means), fmean(wet), estimate)
