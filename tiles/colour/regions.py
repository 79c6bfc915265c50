"""The colour of an area of a photo: what most of it looks like, how it varies, and what was left out."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tiles.colour.correction import UNCORRECTED, Basis, Correction, true_light
from tiles.colour.difference import ciede2000
from tiles.colour.lab import Illuminant, linear_to_lab
from tiles.colour.srgb import Array

CLIPPED_AT = 250
FEWEST_PIXELS = 25
# What lies this far from the median in L* is a highlight or a speckle, unless it is so common that it is the surface.
APART_L = 12.0
APART_SPREADS = 4.0
MOST_SET_ASIDE = 0.12
# Median absolute deviation to standard deviation, for a normal spread.
SPREAD_OF_MAD = 1.4826
# A second or third main colour stands this far off [ΔE00] and covers so much.
MAINS_APART = 6.0
SMALLEST_MAIN = 0.12
MOST_PIXELS = 20_000
ROUNDS = 25


@dataclass(frozen=True, slots=True)
class MainColour:
    """One of the main colours of a surface: L*a*b* and the share of the area it covers, 0 to 1."""

    lab: tuple[float, float, float]
    share: float


@dataclass(frozen=True, slots=True)
class AreaColour:
    """The colour of an area, with its basis.

    `lab` is the median under `illuminant`; `spread` its robust standard deviation in L*, a*, b*, and `spread_de` the
    median ΔE00 of its pixels from it. `uncertainty` [ΔE00] is what the chart's residual leaves; None where the photo
    could not tell. Shares are of all `n` pixels, 0 to 1: clipped, then of the others highlights and speckles, all left
    out of the rest.
    """

    lab: tuple[float, float, float]
    spread: tuple[float, float, float]
    spread_de: float
    uncertainty: float | None
    basis: Basis
    illuminant: Illuminant
    clipped_share: float
    highlight_share: float
    speckle_share: float
    mains: tuple[MainColour, ...]
    n: int


def area_colour(
    rgb8: ArrayLike,
    correction: Correction = UNCORRECTED,
    illuminant: Illuminant = Illuminant.D65,
    more_light_by: float = 1.0,
) -> AreaColour:
    """The colour of an area's pixels as photographed [0 to 255], shape (..., 3), stated for an illuminant.

    `more_light_by` is how many times as much light fell where the photo was corrected by as on this area.

    Raises
    ------
    ValueError : too few pixels, or nearly all of them clipped

    >>> area_colour(np.full((9, 9, 3), 119)).lab
    (50.03, 0.0, 0.0)
    """
    pixels = _thinned(np.asarray(rgb8).reshape(-1, 3))
    clipped = (pixels >= CLIPPED_AT).any(axis=1)
    if len(pixels) < FEWEST_PIXELS:
        raise ValueError("the area is too small to read; make it larger")
    if (~clipped).sum() < FEWEST_PIXELS:
        raise ValueError(
            "nearly all of the area is blown out; move it off the shine, or take the photo with less light"
        )
    lab = linear_to_lab(more_light_by * true_light(pixels[~clipped], correction), illuminant)
    highlight, speckle = _set_aside(lab[:, 0])
    plain = lab[~highlight & ~speckle]
    middle = np.median(plain, axis=0)
    return AreaColour(
        lab=_rounded(middle),
        spread=_rounded(SPREAD_OF_MAD * np.median(np.abs(plain - middle), axis=0)),
        spread_de=round(float(np.median(ciede2000(plain, middle))), 2),
        uncertainty=correction.residual_mean if correction.basis is Basis.CHART else None,
        basis=correction.basis,
        illuminant=illuminant,
        clipped_share=float(clipped.mean()),
        highlight_share=float(highlight.sum() / len(pixels)),
        speckle_share=float(speckle.sum() / len(pixels)),
        mains=main_colours(plain),
        n=len(pixels),
    )


def _thinned(pixels: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """At most 20,000 pixels, evenly taken."""
    return pixels[:: max(1, -(-len(pixels) // MOST_PIXELS))]


def _set_aside(lightness: Array) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Which pixels are highlights, and which dark speckles; neither where they are common."""
    away = lightness - np.median(lightness)
    far = max(APART_L, APART_SPREADS * SPREAD_OF_MAD * float(np.median(np.abs(away))))
    highlight, speckle = away > far, away < -far
    return highlight & (highlight.mean() <= MOST_SET_ASIDE), speckle & (speckle.mean() <= MOST_SET_ASIDE)


def main_colours(lab: Array) -> tuple[MainColour, ...]:
    """One, two or three main colours of L*a*b* pixels (n, 3), largest first; the same pixels give the same colours."""
    for count in (3, 2):
        middles, nearest = _grouped(lab, count)
        shares = np.bincount(nearest, minlength=count) / len(lab)
        apart = ciede2000(middles[:, None], middles[None])[np.triu_indices(count, 1)]
        if shares.min() >= SMALLEST_MAIN and apart.min() >= MAINS_APART and _parted(lab, middles, nearest):
            order = np.argsort(-shares)
            return tuple(MainColour(_rounded(middles[place]), float(shares[place])) for place in order)
    return (MainColour(_rounded(np.median(lab, axis=0)), 1.0),)


def _parted(lab: Array, middles: Array, nearest: NDArray[np.intp]) -> bool:
    """Whether each pair of groups has a thinner place between them, as an even spread has not."""
    for first in range(len(middles)):
        for second in range(first + 1, len(middles)):
            way = middles[second] - middles[first]
            pair = lab[(nearest == first) | (nearest == second)]
            along = (pair - middles[first]) @ way / (way @ way)
            between = ((along > 0.4) & (along < 0.6)).sum()
            ends = ((np.abs(along) < 0.1).sum(), (np.abs(along - 1) < 0.1).sum())
            if between > 0.5 * min(ends):
                return False
    return True


def _grouped(lab: Array, count: int) -> tuple[Array, NDArray[np.intp]]:
    """k-means in L*a*b*, begun at even ranks along the direction of largest spread: middles (count, 3), group (n,)."""
    axis = np.linalg.svd(np.cov(lab.T), hermitian=True)[0][:, 0]
    ranked = lab[np.argsort((lab - lab.mean(axis=0)) @ axis, kind="stable")]
    middles = ranked[[int((place + 0.5) / count * len(lab)) for place in range(count)]]
    nearest = np.zeros(len(lab), dtype=np.intp)
    for _ in range(ROUNDS):
        # Half the square of the plain distance, less what all middles share: the least is the same, at a third of it.
        nearest = np.argmin((middles**2).sum(axis=1) / 2 - lab @ middles.T, axis=1)
        held = np.bincount(nearest, minlength=count)[:, None]
        sums = np.stack([np.bincount(nearest, column, count) for column in lab.T], axis=1)
        moved = np.where(held > 0, sums / np.maximum(held, 1), middles)
        if np.allclose(moved, middles, atol=1e-6):
            break
        middles = moved
    return middles, nearest


def _rounded(lab: Array) -> tuple[float, float, float]:
    """Three figures to two decimals, no minus before nought."""
    lightness, a, b = (round(float(value), 2) + 0.0 for value in lab)
    return lightness, a, b
