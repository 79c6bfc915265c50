"""Flow times of the standard cups as kinematic viscosity, to tell a reading by one cup beside one by another.

Each standard gives ν [mm²/s, which is cSt] of a thin, Newtonian liquid for a time t [s]: ISO 2431 as a t - b / t, ASTM
D1200 (Ford) and ASTM D4212 (Zahn) as k (t - c). The constants are from memory, unverified; those of the Ford cups are
held against the printed upper ends of their ranges. A glaze thins as it moves, so a figure here places a slop roughly:
readings are compared by the same cup, after the same stirring and rest, at the same warmth (ASTM D4212 is for Newtonian
or near-Newtonian liquids only). Zahn cups are not made to one specification: two of one number may differ.
"""

from collections.abc import Callable
from dataclasses import dataclass

from tiles.vocabulary import FlowCup


@dataclass(frozen=True, slots=True)
class Cup:
    """A cup: the times between which its standard's formula holds [s], and the formula."""

    shortest_s: float
    longest_s: float
    viscosity: Callable[[float], float]


def _iso(a: float, b: float) -> Callable[[float], float]:
    return lambda t: a * t - b / t


def _straight(k: float, c: float) -> Callable[[float], float]:
    return lambda t: k * (t - c)


CUPS: dict[str, Cup] = {
    FlowCup.ISO_4.value: Cup(30, 100, _iso(1.37, 200)),
    FlowCup.ISO_5.value: Cup(30, 100, _iso(3.28, 220)),
    FlowCup.ISO_6.value: Cup(30, 100, _iso(6.90, 570)),
    FlowCup.FORD_4.value: Cup(20, 100, _straight(3.85, 4.49)),
    FlowCup.FORD_5.value: Cup(20, 100, _straight(12.1, 2.00)),
    FlowCup.ZAHN_2.value: Cup(20, 80, _straight(3.5, 14)),
    FlowCup.ZAHN_4.value: Cup(20, 80, _straight(14.8, 5)),
}


def viscosity_mm2_s(cup: str, flow_s: float) -> float | None:
    """What a flow time comes to [mm²/s]; None for a cup of one's own, and beyond what the standard's formula is for.

    >>> round(viscosity_mm2_s("ford_4", 30)), viscosity_mm2_s("ford_4", 12), viscosity_mm2_s("other", 30)
    (98, None, None)
    """
    standard = CUPS.get(cup)
    if standard is None or not standard.shortest_s <= flow_s <= standard.longest_s:
        return None
    return standard.viscosity(flow_s)
