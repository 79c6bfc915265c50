"""Colours within a difference of one: reading what was asked for, and the box in L*a*b* that holds them all.

The box lets a database leave most rows out before CIEDE2000 is worked out exactly for the rest.
"""

import math
import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tiles.colour.difference import ciede2000
from tiles.colour.lab import srgb_to_lab
from tiles.colour.srgb import Array
from tiles.colour.swatch import KEPT_UNDER

LARGEST_DE = 30.0
USUAL_DE = 5.0
# Whatever the bound says, all of L*a*b* that a surface can have lies within.
WHOLE = 1000.0
_HEX = re.compile(r"#?([0-9a-fA-F]{6})")
_SHORT_HEX = re.compile(r"#([0-9a-fA-F]{3})")
# The turn of R_T is about hue 275° and dies away within some 25° (Sharma, Wu, Dalal 2005, equations 14 to 16).
TURN_HUE_DEG, TURN_WIDTH_DEG = 275.0, 25.0


@dataclass(frozen=True, slots=True)
class Box:
    """From `low` to `high` in L*, a*, b*, ends within."""

    low: tuple[float, float, float]
    high: tuple[float, float, float]

    def holds(self, lab: ArrayLike) -> bool:
        given = np.asarray(lab)
        return bool((given >= self.low).all() and (given <= self.high).all())


def read_colour(text: str) -> tuple[float, float, float]:
    """L*a*b* under D50 of a colour as people write it: #7a5230, or 39 24 33 with spaces, commas or semicolons between.

    Raises ValueError in words fit for a form.

    >>> read_colour("39; 24,5; -3")
    (39.0, 24.5, -3.0)
    >>> [round(value) for value in read_colour("#ffffff")]
    [100, 0, 0]
    """
    plain = text.strip().replace("−", "-")
    if found := _SHORT_HEX.fullmatch(plain):
        plain = "".join(2 * digit for digit in found[1])
    if found := _HEX.fullmatch(plain):
        lab = srgb_to_lab([int(found[1][place : place + 2], 16) for place in (0, 2, 4)], KEPT_UNDER)
        lightness, a, b = (round(float(value), 2) + 0.0 for value in lab)
        return min(lightness, 100.0), a, b
    return _read_figures(plain)


def _read_figures(plain: str) -> tuple[float, float, float]:
    parts = [part for part in re.split(r"[;\s]+" if re.search(r"[;\s]", plain) else ",", plain) if part]
    try:
        figures = [float(part.strip(",").replace(",", ".")) for part in parts]
    except ValueError:
        figures = []
    if len(figures) != 3 or not all(map(math.isfinite, figures)):
        raise ValueError("Write a colour as #7a5230, or as L* a* b*, such as 39 24 33")
    lightness, a, b = figures
    if not (0 <= lightness <= 100 and abs(a) <= 200 and abs(b) <= 200):
        raise ValueError("L* goes from 0 to 100, a* and b* from −200 to 200")
    return lightness, a, b


def read_within(text: str) -> float:
    """A difference ΔE as people write it; raises ValueError in words fit for a form.

    >>> read_within("2,5")
    2.5
    """
    try:
        within = float(text.strip().replace(",", "."))
    except ValueError:
        within = 0.0
    if not 0 < within <= LARGEST_DE:
        raise ValueError(f"ΔE is a number above 0, at most {LARGEST_DE:g}")
    return within


def within(
    lab: ArrayLike, asked: tuple[float, float, float], most_de: float
) -> tuple[NDArray[np.intp], Array]:
    """Which of the colours (n, 3) are not more than `most_de` [ΔE00] from the one asked for: their places, and ΔE00."""
    apart = ciede2000(np.asarray(lab, dtype=np.float64).reshape(-1, 3), asked)
    near = np.flatnonzero(apart <= most_de)
    return near, apart[near]


def box_around(asked: tuple[float, float, float], most_de: float) -> Box:
    """A box that holds every colour not more than `most_de` [ΔE00] from one.

    From the definition: ΔE² = l² + c² + h² + R_T·c·h with l, c, h the differences over their weights. Since
    |c·h| ≤ (c² + h²) / 2, both l² and (1 - |R_T| / 2)·(c² + h²) are at most ΔE²; the weights are bounded by
    S_L ≤ 1 + 0.015·|L̄ - 50| and S_H ≤ S_C = 1 + 0.045·C̄, and the stretch of a* only widens differences.
    """
    lightness, a, b = asked
    light = _most_light_apart(lightness, most_de)
    plane = _most_plane_apart(a, b, most_de)
    return Box((lightness - light, a - plane, b - plane), (lightness + light, a + plane, b + plane))


def _most_light_apart(lightness: float, most_de: float) -> float:
    """ΔL ≤ d·(1 + 0.015·(|L - 50| + ΔL / 2)), solved for ΔL."""
    return most_de * (1 + 0.015 * abs(lightness - 50)) / (1 - 0.0075 * most_de)


def _most_plane_apart(a: float, b: float, most_de: float) -> float:
    """How far off in a* or b*, from coarse to fine: each round bounds R_T by what the round before found."""
    apart = WHOLE
    for _ in range(4):
        damped = 1 - _most_turn(a, b, apart) / 2
        apart = min(apart, _solved(math.hypot(1.5 * a, b), most_de / math.sqrt(damped)))
    return apart


def _solved(chroma: float, reach: float) -> float:
    """Δ ≤ k·(1 + 0.045·(C + Δ / 2)), solved for Δ; the whole plane where it bounds nothing."""
    left = 1 - 0.0225 * reach
    return reach * (1 + 0.045 * chroma) / left if left > 0 else WHOLE


def _most_turn(a: float, b: float, apart: float) -> float:
    """The most that |R_T| can be for a colour not further off than `apart` in the stretched plane."""
    chroma = min(math.hypot(1.5 * a, b) + apart / 2, WHOLE)
    share = math.sqrt(chroma**7 / (chroma**7 + 25.0**7))
    hue = math.degrees(math.atan2(b, 1.25 * a)) % 360
    from_turn = abs((hue - TURN_HUE_DEG + 180) % 360 - 180)
    # The stretch of a* moves a hue by less than 12°; the mean hue lies at most a right angle from either.
    least = math.hypot(a, b)
    swing = 90.0 if least > 0 else 180.0
    if apart < least:
        swing = math.degrees(math.asin(apart / least)) / 2
    off = max(0.0, from_turn - swing - 12.0)
    return 2 * share * math.sin(math.radians(60 * math.exp(-((off / TURN_WIDTH_DEG) ** 2))))
