"""How far two measured colours are apart, in figures and words, and whether the difference is real.

A give-or-take is a mean ΔE00: about how far off such a reading is. Were two surfaces the same, their readings would
still lie about the root of the two squares apart, and more than twice that in fewer than 2 of 100 cases: where errors
are normal in three directions, the chi distribution with three degrees of freedom has its mean at 1.60 σ and exceeds
twice that with probability 0.017. So beyond twice the give-or-take a difference counts as real, within it as too close
to tell.
"""

import math
from dataclasses import dataclass

import numpy as np

from tiles.colour.difference import ciede2000
from tiles.colour.srgb import Array
from tiles.vocabulary import ColourBasis

# How far off a reading is when nothing in the photo says so, and how much of that is left between two areas of one
# photo, whose errors are alike [mean ΔE00]. Measured on a simulated camera, 60 colours under four lights, four ways
# of holding it and three tone curves: tests/bench/bases.py.
OFF = {ColourBasis.GREY_CARD.value: 4.2, ColourBasis.UNCORRECTED.value: 9.9}
OFF_IN_ONE_PHOTO = {ColourBasis.GREY_CARD.value: 1.2, ColourBasis.UNCORRECTED.value: 1.8}
CHART_SHARE_IN_ONE_PHOTO = 0.5
# Hand-held instruments against one another, as their makers state; from memory, unverified.
OFF_INSTRUMENT = 0.5
# A chart whose residual was not kept is taken as one that just counts as usable.
OFF_CHART_UNKNOWN = 3.0
# An area counts as so many places whose colours vary on their own: common practice, no source.
PLACES_IN_AN_AREA = 25
# Below this a difference is not seen even side by side: common practice, no source, for ΔE00 about 1.
JUST_SEEN = 1.0
# Below this chroma a colour has no hue worth a word: it is grey with a cast.
NEARLY_GREY = 5.0
# A direction is worth a word when it makes up this share of the whole difference.
WORTH_A_WORD = 0.35
# Towards which plain colour a hue turns with rising and falling hue angle, by the quarter it is in [0° is red].
RISING = ("yellower", "greener", "bluer", "redder")
FALLING = ("redder", "yellower", "greener", "bluer")


@dataclass(frozen=True, slots=True)
class MeasuredColour:
    """A colour with how far it can be trusted.

    `lab` under D50; `basis` a value of ColourBasis; `spread_de` how the surface itself varies and `residual_de` what
    the correction leaves, both ΔE00; `photo` the key of the photo it was read from, where it was.
    """

    lab: tuple[float, float, float]
    basis: str
    spread_de: float = 0.0
    residual_de: float | None = None
    photo: int | None = None

    @property
    def give_or_take(self) -> float:
        """About how far off the reading is [ΔE00].

        >>> round(MeasuredColour((50, 0, 0), "chart", spread_de=5.0, residual_de=1.0).give_or_take, 2)
        1.41
        """
        return float(np.hypot(self.off, self.spread_de / np.sqrt(PLACES_IN_AN_AREA)))

    @property
    def off(self) -> float:
        """What its correction, or the want of one, leaves [ΔE00]."""
        if self.basis == ColourBasis.INSTRUMENT.value:
            return OFF_INSTRUMENT
        if self.basis == ColourBasis.CHART.value:
            return OFF_CHART_UNKNOWN if self.residual_de is None else self.residual_de
        return OFF[self.basis]

    @property
    def off_in_one_photo(self) -> float:
        """The same between two areas of one photo."""
        return OFF_IN_ONE_PHOTO.get(self.basis, CHART_SHARE_IN_ONE_PHOTO * self.off)


@dataclass(frozen=True, slots=True)
class Apart:
    """How the second colour differs from the first.

    `delta_e` and its `plus_minus` in ΔE00; `d_lightness`, `d_chroma`, `d_hue` are the signed ΔL*, ΔC*, ΔH* of CIE 1976.
    """

    delta_e: float
    plus_minus: float
    d_lightness: float
    d_chroma: float
    d_hue: float
    words: str
    verdict: str

    @property
    def sentence(self) -> str:
        """All of it in one line: ΔE 2.1 ± 1.4, lighter, yellower: perhaps."""
        words = f", {self.words}" if self.words else ""
        return f"ΔE {self.delta_e:.1f} ± {self.plus_minus:.1f}{words}: {self.verdict}"


def apart(first: MeasuredColour, second: MeasuredColour) -> Apart:
    """How a second colour differs from a first, and whether that is real.

    >>> light, dark = MeasuredColour((60, 10, 10), "instrument"), MeasuredColour((50, 10, 10), "instrument")
    >>> apart(light, dark).sentence
    'ΔE 9.5 ± 0.7, darker: a real difference'
    """
    delta_e = float(ciede2000(first.lab, second.lab))
    plus_minus = _plus_minus(first, second)
    lightness, chroma, hue = differences(first.lab, second.lab)
    return Apart(
        delta_e,
        plus_minus,
        lightness,
        chroma,
        hue,
        _words(first.lab, second.lab) if delta_e >= JUST_SEEN / 2 else "",
        _verdict(delta_e, plus_minus),
    )


def differences(
    first: tuple[float, float, float], second: tuple[float, float, float]
) -> tuple[float, float, float]:
    """ΔL*, ΔC* and ΔH* from the first to the second; ΔH* is positive where the hue angle rises.

    Source: CIE 15, the CIE 1976 differences of lightness, chroma and hue.
    """
    a, b = np.asarray(first, dtype=np.float64), np.asarray(second, dtype=np.float64)
    lightness, chroma = b[0] - a[0], np.hypot(*b[1:]) - np.hypot(*a[1:])
    turned = float(a[1] * b[2] - a[2] * b[1])
    hue_squared = float(np.sum((b[1:] - a[1:]) ** 2) - chroma**2)
    return float(lightness), float(chroma), float(np.copysign(np.sqrt(max(hue_squared, 0.0)), turned))


def _plus_minus(first: MeasuredColour, second: MeasuredColour) -> float:
    in_one = first.photo is not None and first.photo == second.photo and first.basis == second.basis
    offs = [reading.off_in_one_photo if in_one else reading.off for reading in (first, second)]
    # The error of a pair in one photo is measured for the pair, not for each of the two.
    off = max(offs) if in_one else math.hypot(*offs)
    spread = float(np.hypot(first.spread_de, second.spread_de) / np.sqrt(PLACES_IN_AN_AREA))
    return float(np.hypot(off, spread))


def _verdict(delta_e: float, plus_minus: float) -> str:
    if delta_e <= plus_minus:
        return "too close to tell"
    if delta_e <= 2 * plus_minus:
        return "perhaps a difference"
    return "a real difference" if delta_e >= JUST_SEEN else "real, but hardly to be seen"


def _words(first: tuple[float, float, float], second: tuple[float, float, float]) -> str:
    """The directions that make up most of the difference: lighter, stronger, yellower."""
    a, b = np.asarray(first, dtype=np.float64), np.asarray(second, dtype=np.float64)
    lightness, chroma, hue = differences(first, second)
    said: list[tuple[str, float]] = [("lighter" if lightness > 0 else "darker", abs(lightness))]
    if min(np.hypot(*a[1:]), np.hypot(*b[1:])) < NEARLY_GREY:
        said += _casts(b - a)
    else:
        said += [
            ("stronger" if chroma > 0 else "greyer", abs(chroma)),
            (_turn(a, b, rising=hue > 0), abs(hue)),
        ]
    whole = math.hypot(*(size for _, size in said))
    return ", ".join(word for word, size in said if size >= WORTH_A_WORD * whole and size > 0)


def _casts(change: Array) -> list[tuple[str, float]]:
    """What a grey moves towards."""
    red, yellow = float(change[1]), float(change[2])
    return [
        ("redder" if red > 0 else "greener", abs(red)),
        ("yellower" if yellow > 0 else "bluer", abs(yellow)),
    ]


def _turn(first: Array, second: Array, *, rising: bool) -> str:
    """Towards which plain colour a hue turns, from the middle of its way: orange that rises turns yellower."""
    toward = first[1:] / np.hypot(*first[1:]) + second[1:] / np.hypot(*second[1:])
    angle = float(np.degrees(np.arctan2(toward[1], toward[0]))) % 360
    quarter = int(angle // 90) % 4
    return (RISING if rising else FALLING)[quarter]
